"""What the order list is narrowed down to: yard, class, service, state."""

from typing import Any

from django import forms

from fleet.models import Shop, Yard
from fleet.queries.entry_choices import services_by_name
from fleet.queries.machine_classes import machine_classes
from fleet.queries.order_list import ORDER_STATES, NarrowedOrders, yards_at


class OrderFilter(forms.Form):
    """Choices that stand in the address; one that is not there is said and does not narrow."""

    yard: forms.ModelChoiceField = forms.ModelChoiceField(
        None,
        required=False,
        empty_label="every yard",
        error_messages={"invalid_choice": "There is no such yard; choose one from the list."},
    )
    machine_class = forms.ModelChoiceField(
        machine_classes(),
        required=False,
        label="Class",
        empty_label="every class",
        error_messages={"invalid_choice": "There is no such class; choose one from the list."},
    )
    service: forms.ModelChoiceField = forms.ModelChoiceField(
        services_by_name(),
        required=False,
        empty_label="every service",
        error_messages={"invalid_choice": "There is no such service; choose one from the list."},
    )
    state = forms.ChoiceField(
        choices=[("", "every state"), *((name, name) for name in ORDER_STATES)],
        required=False,
        error_messages={"invalid_choice": "There is no such state; choose one from the list."},
    )

    def __init__(self, shop: Shop, data: Any) -> None:
        super().__init__(data, auto_id="narrow_%s")
        field = self.fields["yard"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = yards_at(shop)

    def narrowing(self) -> NarrowedOrders:
        """Return what is wanted, as far as it can be understood."""
        self.is_valid()
        typed = self.cleaned_data
        yard: Yard | None = typed.get("yard")
        return NarrowedOrders(
            yard, typed.get("machine_class"), typed.get("state") or "", typed.get("service")
        )
