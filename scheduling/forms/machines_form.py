"""What the list of machines and the manager's page may be narrowed down to."""

from typing import Any

from django import forms
from django.db.models import Q, QuerySet

from fleet.models import Machine, MachineClass, Person, Shop
from fleet.queries.mine import shops_of
from scheduling.forms.own_yard_field import OwnYard, offer_own_yards
from scheduling.models import State
from scheduling.queries.fleet_state import WORST_FIRST, in_state

RETIRED = "retired"


class MachineFilter(forms.Form):
    """Class, yard, state and text; a value that is not there is said and does not narrow."""

    text = forms.CharField(
        required=False,
        max_length=80,
        label="Tag, serial or model",
        error_messages={"max_length": "Search for at most 80 characters."},
    )
    machine_class = forms.ModelChoiceField(
        MachineClass.objects.all(),
        required=False,
        label="Class",
        empty_label="every class",
        error_messages={"invalid_choice": "There is no such class; choose one from the list."},
    )
    yard = OwnYard()
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

    def narrow(self, machines: QuerySet[Machine]) -> QuerySet[Machine]:
        """Return the machines that fit all the values that can be understood."""
        self.is_valid()
        wanted = self.cleaned_data
        if wanted.get("machine_class"):
            machines = machines.filter(makeup__machine_class=wanted["machine_class"])
        if wanted.get("yard"):
            machines = machines.filter(yard=wanted["yard"])
        for word in wanted.get("text", "").split():
            machines = machines.filter(
                Q(tag__icontains=word)
                | Q(serial__icontains=word)
                | Q(makeup__maker__icontains=word)
                | Q(makeup__model__icontains=word)
            )
        return self._in_state(machines, wanted.get("state", ""))

    @staticmethod
    def _in_state(machines: QuerySet[Machine], state: str) -> QuerySet[Machine]:
        if state == RETIRED:
            return machines.filter(retired_on__isnull=False)
        machines = machines.filter(retired_on=None)
        return in_state(machines, state) if state else machines


class ShopChoice(forms.Form):
    """Which shop's page to show, where a person may look at several."""

    shop = forms.ModelChoiceField(
        Shop.objects.none(),
        required=False,
        empty_label=None,
        error_messages={"invalid_choice": "There is no such shop; the first one is shown."},
    )

    def __init__(self, data: Any, *, person: Person) -> None:
        super().__init__(data, auto_id="choice_%s")
        self.shops = list(shops_of(person).order_by("name"))
        self.fields["shop"].queryset = shops_of(person).order_by("name")  # type: ignore[attr-defined]

    def chosen(self) -> Shop | None:
        """Return the shop that was asked for, or the first; None where there is none."""
        self.is_valid()
        return self.cleaned_data.get("shop") or next(iter(self.shops), None)
