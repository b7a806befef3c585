"""What the lists of one shop may be narrowed down to: yard, class, service, state."""

from typing import Any

from django import forms

from fleet.forms.narrowing_fields import OneClass, OneService, OneYard, offer_yards_of
from fleet.models import Shop
from scheduling.models import State
from scheduling.queries.fleet_state import WORST_FIRST
from scheduling.queries.narrowed_yard import YardNarrowing


class PastFilter(forms.Form):
    """Choices that stand in the address; one that is not there is said and does not narrow.

    Without the state, which a list of the past does not know.
    """

    yard = OneYard()
    machine_class = OneClass()
    service = OneService()

    def __init__(self, data: Any, *, shop: Shop) -> None:
        super().__init__(data, auto_id="narrow_%s")
        offer_yards_of(self, shop)

    def narrowing(self) -> YardNarrowing:
        """Return what is wanted, as far as it can be understood."""
        self.is_valid()
        return YardNarrowing(**self.cleaned_data)


class YardFilter(PastFilter):
    """The same with the state of today."""

    state = forms.ChoiceField(
        choices=[("", "every state"), *((s, State(s).label) for s in WORST_FIRST)],
        required=False,
        error_messages={"invalid_choice": "There is no such state; choose one from the list."},
    )
