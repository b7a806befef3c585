"""What the order list is narrowed down to: yard, class, service, state."""

from typing import Any

from django import forms

from fleet.forms.narrowing_fields import OneClass, OneService, OneYard, offer_yards_of
from fleet.models import Shop, Yard
from fleet.queries.order_list import ORDER_STATES, NarrowedOrders


class OrderFilter(forms.Form):
    """Choices that stand in the address; one that is not there is said and does not narrow."""

    yard = OneYard()
    machine_class = OneClass()
    service = OneService()
    state = forms.ChoiceField(
        choices=[("", "every state"), *((name, name) for name in ORDER_STATES)],
        required=False,
        error_messages={"invalid_choice": "There is no such state; choose one from the list."},
    )

    def __init__(self, shop: Shop, data: Any) -> None:
        super().__init__(data, auto_id="narrow_%s")
        offer_yards_of(self, shop)

    def narrowing(self) -> NarrowedOrders:
        """Return what is wanted, as far as it can be understood."""
        self.is_valid()
        typed = self.cleaned_data
        yard: Yard | None = typed.get("yard")
        return NarrowedOrders(
            yard, typed.get("machine_class"), typed.get("state") or "", typed.get("service")
        )
