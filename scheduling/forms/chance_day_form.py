"""The day for which the chance of each due point being reached is asked."""

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from django import forms

from fleet.saying import short_date
from scheduling.core.forecast import HORIZON


class ChanceDay(forms.Form):
    """A day from today to 120 days ahead; empty asks for none."""

    by = forms.DateField(
        required=False,
        label="Reached by",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "Write the day as 2026-03-31."},
    )

    def __init__(self, data: Mapping[str, Any] | None, today: date) -> None:
        super().__init__(data)
        self.today = today
        limits = {"min": f"{today:%Y-%m-%d}", "max": f"{today + timedelta(days=HORIZON):%Y-%m-%d}"}
        self.fields["by"].widget.attrs.update(limits)

    def clean_by(self) -> date | None:
        """Refuse a day that lies behind, or beyond what is forecast."""
        day: date | None = self.cleaned_data["by"]
        last = self.today + timedelta(days=HORIZON)
        if day and not self.today <= day <= last:
            raise forms.ValidationError(
                f"Choose a day from today to {short_date(last, self.today)}: nothing is said of "
                f"days more than {HORIZON} days ahead."
            )
        return day

    def chosen(self) -> date | None:
        """Return the day asked for; None for none, or for one that is refused."""
        return self.cleaned_data.get("by") if self.is_valid() else None
