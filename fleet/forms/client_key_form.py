"""The form of a new key for another program."""

from secrets import token_hex
from typing import Any

from django import forms

from fleet.models import Person
from fleet.models.client_keys import OFFERED
from fleet.queries.mine import shops_of


class ClientKeyForm(forms.Form):
    """For which client, what for, whose machines."""

    name = forms.CharField(
        max_length=80, label="Client", help_text="web shop, phone line, telematics gateway",
        error_messages={
            "required": "Say which client the key is for.",
            "max_length": "Say it in at most 80 characters.",
        },
    )  # fmt: skip
    scope = forms.ChoiceField(
        choices=[(one.value, one.label) for one in OFFERED], label="What for",
        error_messages={"required": "Say what the key is for."},
    )  # fmt: skip
    shop: forms.ModelChoiceField = forms.ModelChoiceField(
        None, required=False, label="Machines of", empty_label="every shop",
        error_messages={"invalid_choice": "There is no such shop; choose one from the list."},
    )  # fmt: skip
    form_key = forms.CharField(max_length=40, widget=forms.HiddenInput)

    def __init__(self, person: Person, data: Any = None) -> None:
        """Offer the shops that this person looks after; who has one offers no other."""
        super().__init__(data, initial={"form_key": token_hex(10)}, auto_id="key_%s")
        field = self.fields["shop"]
        field.queryset = shops_of(person)  # type: ignore[attr-defined]
        if person.only_shop_id:
            field.required, field.empty_label = True, None  # type: ignore[attr-defined]
            self.initial["shop"] = person.only_shop_id
