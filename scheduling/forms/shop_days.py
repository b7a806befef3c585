"""Forms of the plan: move work, publish days."""

from datetime import date
from typing import Any

from django import forms

from fleet.models import Machine, Person, Shop
from fleet.queries.hands import workers_at
from scheduling.actions.replan import Move
from scheduling.models import PlannedWork


class MoveForm(forms.Form):
    """Where one piece of planned work is to go."""

    work_key = forms.CharField(widget=forms.HiddenInput)
    day = forms.DateField(
        label="Day",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "Write the day as 2026-03-31."},
    )
    mechanic = forms.ModelChoiceField(
        queryset=Person.objects.none(),
        required=False,
        empty_label="whoever suits",
        to_field_name="username",
        error_messages={"invalid_choice": "Nobody of that name works in this shop."},
    )

    def __init__(self, shop: Shop, *args: Any, **kwargs: Any) -> None:
        """Offer the mechanics of the shop, and hands lent to it on whatever days."""
        super().__init__(*args, **kwargs)
        self.shop = shop
        people = workers_at(shop, date.min, date.max)
        self.fields["mechanic"].queryset = people  # type: ignore[attr-defined]

    def clean_work_key(self) -> str:
        """Refuse work that is not in the plan of this shop."""
        key = self.cleaned_data["work_key"]
        if not PlannedWork.objects.filter(plan__shop=self.shop, work_key=key).exists():
            raise forms.ValidationError(
                "This work is no longer in the plan; look at the page again, it may be done."
            )
        return str(key)

    def move(self) -> Move:
        """Return the move that is asked for; call it on a valid form."""
        key = self.cleaned_data["work_key"]
        machine = Machine.objects.get(
            pk__in=PlannedWork.objects.filter(plan__shop=self.shop, work_key=key).values("machine")
        )
        return Move(machine, key, self.cleaned_data["day"], self.cleaned_data["mechanic"])


class PublishForm(forms.Form):
    """How many days, from the first shown, the mechanics can rely on."""

    days = forms.IntegerField(
        label="Days to publish",
        min_value=1,
        max_value=28,
        initial=7,
        error_messages={
            "min_value": "Publish at least one day.",
            "max_value": "Publish four weeks at most.",
        },
    )
