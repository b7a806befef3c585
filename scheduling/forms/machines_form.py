"""What the list of machines and the manager's page may be narrowed down to."""

from typing import Any

from django import forms

from fleet.forms.narrowing_fields import OneClass, OneService, OneYard, offer_own_yards
from fleet.models import Person, Shop
from fleet.queries.mine import shops_in_sight, shops_of
from scheduling.models import State
from scheduling.queries.fleet_state import WORST_FIRST
from scheduling.queries.machine_list import RETIRED, Narrowing


class MachineFilter(forms.Form):
    """Class, yard, service, state, text; a value that is not there is said and does not narrow."""

    text = forms.CharField(
        required=False,
        max_length=80,
        label="Tag, serial or model",
        error_messages={"max_length": "Search for at most 80 characters."},
    )
    machine_class = OneClass()
    yard = OneYard()
    service = OneService()
    state = forms.ChoiceField(
        choices=[
            ("", "every state"),
            *((s, State(s).label) for s in WORST_FIRST),
            (RETIRED, "retired"),
        ],
        required=False,
        error_messages={"invalid_choice": "There is no such state; choose one from the list."},
    )

    def __init__(self, data: Any, *, person: Person) -> None:
        super().__init__(data, auto_id="narrow_%s")
        offer_own_yards(self, person)

    def narrowing(self) -> Narrowing:
        """Return what is wanted, as far as it can be understood."""
        self.is_valid()
        return Narrowing(**self.cleaned_data)


class ShopChoice(forms.Form):
    """Which shop's page to show, where a person may look at several."""

    shop: forms.ModelChoiceField = forms.ModelChoiceField(
        None,
        required=False,
        empty_label=None,
        error_messages={"invalid_choice": "There is no such shop; the first one is shown."},
    )

    def __init__(self, data: Any, *, person: Person, looking: bool = False) -> None:
        """Offer a person's shops; looking: those too in which they may change nothing."""
        super().__init__(data, auto_id="choice_%s")
        rows = shops_in_sight(person) if looking else shops_of(person)
        self.own = person.only_shop_id
        self.shops = list(rows)
        self.fields["shop"].queryset = rows  # type: ignore[attr-defined]

    def chosen(self) -> Shop | None:
        """Return the shop asked for, else one's own, else the first; None where there is none."""
        self.is_valid()
        own = next((shop for shop in self.shops if shop.pk == self.own), None)
        return self.cleaned_data.get("shop") or own or next(iter(self.shops), None)
