"""Whom of another shop somebody lets look at their own."""

from typing import Any

from django import forms

from fleet.models import Person, Shop
from fleet.queries.who_looks import person_elsewhere


class LetLookForm(forms.Form):
    """The name that a person of another shop signs in with.

    It is typed, not chosen: nobody reads here who works for the other shops.
    """

    username = forms.CharField(
        max_length=150,
        label="Signs in as",
        help_text="The name with which they sign in; they, or their fleet manager, can tell it.",
        error_messages={"required": "Type the name with which they sign in."},
        widget=forms.TextInput(
            attrs={"autocomplete": "off", "autocapitalize": "none", "spellcheck": "false"}
        ),
    )

    def __init__(self, shop: Shop, data: Any = None) -> None:
        super().__init__(data)
        self.shop = shop

    def clean_username(self) -> str:
        """Find the person among those of other shops."""
        typed = str(self.cleaned_data["username"]).strip()
        found = person_elsewhere(self.shop, typed)
        if found is None:
            raise forms.ValidationError(
                f"Nobody of another shop signs in as {typed}. Owners see every shop as it is."
            )
        self.person: Person = found
        return typed
