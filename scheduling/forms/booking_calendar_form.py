"""Which part of the calendar is shown: class, yard, state, from which day, how many weeks."""

from datetime import date, timedelta
from typing import Any

from django import forms

from fleet.forms.narrowing_fields import OneClass, OneYard, offer_own_yards
from fleet.models import Person
from fleet.saying import counted
from scheduling.availability.counter_facts import Days
from scheduling.forms.counter_forms import NOT_A_DATE
from scheduling.models import State
from scheduling.queries.fleet_state import WORST_FIRST
from scheduling.queries.machine_list import Narrowing

MOST_WEEKS = 26
USUAL_WEEKS = 4


class CalendarForm(forms.Form):
    """Narrows the calendar; a value that makes no sense is said and does not narrow."""

    machine_class = OneClass()
    yard = OneYard()
    state = forms.ChoiceField(
        choices=[("", "every state"), *((s, State(s).label) for s in WORST_FIRST)], required=False,
        error_messages={"invalid_choice": "There is no such state; choose one from the list."},
    )  # fmt: skip
    first_day = forms.DateField(
        required=False, label="From",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": NOT_A_DATE},
    )  # fmt: skip
    weeks = forms.TypedChoiceField(
        required=False, coerce=int, empty_value=None,
        choices=[(n, counted(n, "week")) for n in range(1, MOST_WEEKS + 1)],
        error_messages={"invalid_choice": f"Choose 1 to {MOST_WEEKS} weeks."},
    )  # fmt: skip

    def __init__(self, data: Any, *, person: Person, today: date) -> None:
        shown = {"first_day": today.isoformat(), "weeks": str(USUAL_WEEKS), **data.dict()}
        super().__init__(shown, auto_id="cal_%s")
        self.today = today
        offer_own_yards(self, person)

    def clean_first_day(self) -> date | None:
        """Refuse a day so far off that no calendar reaches it."""
        first: date | None = self.cleaned_data["first_day"]
        if first and abs((first - self.today).days) > 3660:
            raise forms.ValidationError("That is more than ten years away; choose a nearer day.")
        return first

    def narrowing(self) -> Narrowing:
        """Return which machines are wanted, as far as it can be understood."""
        self.is_valid()
        given = self.cleaned_data
        return Narrowing(
            given.get("machine_class"), given.get("yard"), state=given.get("state") or ""
        )

    def days(self) -> Days:
        """Return the days that are shown."""
        self.is_valid()
        first = self.cleaned_data.get("first_day") or self.today
        weeks = self.cleaned_data.get("weeks") or USUAL_WEEKS
        return Days(first, first + timedelta(days=7 * weeks - 1))
