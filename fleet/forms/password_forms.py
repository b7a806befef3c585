"""A new password, typed twice; and one's own, for which the one that stands is asked."""

from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from fleet.models import Person


class NewPasswordForm(forms.Form):
    """A new password for somebody."""

    password = forms.CharField(
        max_length=128, label="New password", error_messages={"required": "Write a new password."},
        help_text="eight characters or more, and none that everybody thinks of",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )  # fmt: skip
    again = forms.CharField(
        max_length=128, label="The new password again",
        error_messages={"required": "Write the password once more."},
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )  # fmt: skip

    def __init__(self, person: Person, data: Any = None) -> None:
        self.person = person
        super().__init__(data)

    def clean(self) -> dict[str, Any]:
        """Check the password, and that both are the same."""
        given = super().clean() or {}
        if given.get("password") and given.get("again") and given["password"] != given["again"]:
            self.add_error("again", "The two passwords are not the same.")
        if given.get("password"):
            try:
                validate_password(given["password"], self.person)
            except ValidationError as no:
                self.add_error("password", no)
        return given


class OwnPasswordForm(NewPasswordForm):
    """The same, and the password that stands."""

    field_order = ["old", "password", "again"]
    old = forms.CharField(
        max_length=128, label="Your password as it is now",
        error_messages={"required": "Write the password that you sign in with now."},
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )  # fmt: skip


class ForgottenForm(forms.Form):
    """By which name somebody signs in."""

    username = forms.CharField(
        max_length=150, label="Name",
        error_messages={"required": "Write the name that you sign in with."},
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none"}),
    )  # fmt: skip
