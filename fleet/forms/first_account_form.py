"""The form of the first account on an empty site."""

from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from fleet.models import Person


class FirstAccountForm(forms.Form):
    """A name to sign in with, and a password, typed twice."""

    username = forms.CharField(
        max_length=150, label="Name to sign in with", validators=[Person.username_validator],
        error_messages={"required": "Write the name that you want to sign in with."},
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none"}),
    )  # fmt: skip
    email = forms.EmailField(
        required=False, max_length=254, label="E-mail", help_text="lists and warnings go there",
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )  # fmt: skip
    password = forms.CharField(
        max_length=128, label="Password", error_messages={"required": "Write a password."},
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )  # fmt: skip
    again = forms.CharField(
        max_length=128, label="The password again",
        error_messages={"required": "Write the password once more."},
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        """Check the password, and that both are the same."""
        given = super().clean() or {}
        if given.get("password") and given.get("again") and given["password"] != given["again"]:
            self.add_error("again", "The two passwords are not the same.")
        if given.get("password"):
            try:
                validate_password(given["password"], Person(username=given.get("username", "")))
            except ValidationError as no:
                self.add_error("password", no)
        return given
