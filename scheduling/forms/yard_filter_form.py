"""What the Yard may be narrowed down to: yard, class, service, state."""

from typing import Any

from django import forms

from fleet.forms.narrowing_fields import OneClass, OneService, OneYard, offer_own_yards
from fleet.models import Person
from scheduling.models import State
from scheduling.queries.fleet_state import WORST_FIRST
from scheduling.queries.narrowed_yard import YardNarrowing


class YardFilter(forms.Form):
    """Choices that stand in the address; one that is not there is said and does not narrow."""

    yard = OneYard()
    machine_class = OneClass()
    service = OneService()
    state = forms.ChoiceField(
        choices=[("", "every state"), *((s, State(s).label) for s in WORST_FIRST)],
        required=False,
        error_messages={"invalid_choice": "There is no such state; choose one from the list."},
    )

    def __init__(self, data: Any, *, person: Person) -> None:
        super().__init__(data, auto_id="narrow_%s")
        offer_own_yards(self, person)

    def narrowing(self) -> YardNarrowing:
        """Return what is wanted, as far as it can be understood."""
        self.is_valid()
        return YardNarrowing(**self.cleaned_data)
