"""Which month of the lists to show, and which of its entries."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms

from scheduling.hindsight.list_entries import WORDS
from scheduling.queries.planned_done import BESIDE, month_name


class MonthChoice(forms.Form):
    """A month of the last twelve, and what became of the entries to list."""

    month = forms.ChoiceField(
        required=False,
        error_messages={"invalid_choice": "Choose one of the last twelve months."},
    )
    what = forms.ChoiceField(
        required=False,
        label="List",
        choices=[
            ("", "not done on its day"),
            *((each.value, words) for each, words in WORDS.items()),
            (BESIDE, "done off the list"),
        ],
        error_messages={"invalid_choice": "Choose one of the lists offered."},
    )

    def __init__(self, data: Any, firsts: Sequence[date]) -> None:
        super().__init__(data)
        month = self.fields["month"]
        month.choices = [  # type: ignore[attr-defined]
            ("", "the latest"),
            *((f"{first:%Y-%m}", month_name(first)) for first in reversed(firsts)),
        ]

    def first_day(self) -> date | None:
        """Return the first day of the month chosen; None for the latest, or a bad choice."""
        self.is_valid()
        chosen = self.cleaned_data.get("month", "")
        return date.fromisoformat(f"{chosen}-01") if chosen else None

    def what_chosen(self) -> str:
        """Return the outcome chosen, empty for all that was not done on its day."""
        self.is_valid()
        return str(self.cleaned_data.get("what", ""))
