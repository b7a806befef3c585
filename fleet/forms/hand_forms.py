"""What a hand types to sign in, and which key a manager makes."""

from secrets import token_hex
from typing import Any

from django import forms

from fleet.models import HandKeyKind


class YardCodeForm(forms.Form):
    """The code; its field is called a password, so that no log of wrong ones keeps it."""

    password = forms.CharField(
        max_length=40, label="Yard code", help_text="Eight letters and figures, such as K7MQ-3RTW.",
        error_messages={"required": "Type the code that your fleet manager gave you."},
        widget=forms.TextInput(
            attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}
        ),
    )  # fmt: skip


class HandKeyForm(forms.Form):
    """Which key to make."""

    kind = forms.ChoiceField(choices=HandKeyKind)
    form_key = forms.CharField(max_length=40, widget=forms.HiddenInput)

    def __init__(self, data: Any = None) -> None:
        super().__init__(data, initial={"form_key": token_hex(8)})
