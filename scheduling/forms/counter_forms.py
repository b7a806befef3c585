"""What the counter asks: a class and days; a booking; another last day."""

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Any

from django import forms

from fleet.booked_times import PromisedDays
from fleet.forms.booked_clock_field import BookedClockField
from fleet.forms.money_field import MoneyField
from fleet.forms.narrowing_fields import OneYard, offer_own_yards
from fleet.models import Person
from fleet.queries.machine_classes import machine_classes
from scheduling.availability.counter_facts import Days
from scheduling.forms.hire_fields import HireFields

LONGEST = timedelta(days=366)
"""Longest stay out that is asked for in one go."""

NOT_A_DATE = "That is not a day of the calendar; write it as 2026-03-05."


def use_field() -> forms.FloatField:
    """Return the field for the use a day, as the customer says it."""
    return forms.FloatField(
        required=False, min_value=0, max_value=24, label="Use a day, in hours",
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
        error_messages={
            "invalid": "Write the hours in digits, such as 8 or 2.5.",
            "min_value": "Hours below zero cannot be right.",
            "max_value": "A day has 24 hours.",
        },
    )  # fmt: skip


def day_field(label: str, missing: str) -> forms.DateField:
    """Return a field for one day."""
    return forms.DateField(
        label=label,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"required": missing, "invalid": NOT_A_DATE},
    )


def from_field() -> BookedClockField:
    """Return the field for the time of going out."""
    return BookedClockField("From", "a time such as 7:30 or 5 pm; empty: the whole day")


def to_field() -> BookedClockField:
    """Return the field for the time of coming back."""
    return BookedClockField("Back at", "empty: the whole day; half day is noon")


def refuse_backwards(form: forms.Form, typed: dict[str, Any]) -> dict[str, Any]:
    """Refuse a return before the going out on one and the same day."""
    first, last = typed.get("first_day"), typed.get("last_day")
    times = typed.get("from_time"), typed.get("to_time")
    if first and first == last and PromisedDays(first, last, *times).backwards:
        form.add_error("to_time", "It would come back before it goes out; look at the times.")
    return typed


class DaysForm(forms.Form):
    """First and last day, in order, not past, not longer than a year."""

    first_day = day_field("First day", "Say from which day.")
    last_day = day_field("Last day", "Say until which day.")

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        for name in ("first_day", "last_day"):
            self.fields[name].widget.attrs["min"] = today.isoformat()

    def clean_first_day(self) -> date:
        """Refuse a day that is past."""
        first: date = self.cleaned_data["first_day"]
        if first < self.today:
            raise forms.ValidationError("That day is past; choose today or a later one.")
        return first

    def clean(self) -> dict[str, Any]:
        """Refuse days that run backwards or on for years."""
        first, last = self.cleaned_data.get("first_day"), self.cleaned_data.get("last_day")
        if first and last and last < first:
            self.add_error("last_day", "The last day is before the first; swap them.")
        if first and last and last - first > LONGEST:
            self.add_error("last_day", "That is more than a year; book it in shorter pieces.")
        return self.cleaned_data


class TimedDaysForm(DaysForm):
    """Days, with times of day where no whole days are meant."""

    from_time = from_field()
    to_time = to_field()

    def clean(self) -> dict[str, Any]:
        """Refuse times that run backwards, too."""
        return refuse_backwards(self, super().clean() or self.cleaned_data)


class QuestionForm(TimedDaysForm):
    """Which class, which days, in which yard if it matters."""

    machine_class = forms.ModelChoiceField(
        machine_classes(), label="Class", empty_label="choose a class",
        error_messages={
            "required": "Say which class of machine.",
            "invalid_choice": "There is no such class; choose one from the list.",
        },
    )  # fmt: skip
    yard = OneYard()
    hours_a_day = use_field()

    field_order = [
        "machine_class", "first_day", "from_time", "last_day", "to_time", "yard", "hours_a_day",
    ]  # fmt: skip

    def __init__(self, data: Any = None, *, person: Person, today: date) -> None:
        asked = data if data and "machine_class" in data else None
        initial = {"first_day": today, "last_day": today + timedelta(days=3)}
        super().__init__(asked, today=today, initial=initial, auto_id="ask_%s")
        offer_own_yards(self, person)
        for name in ("from_time", "to_time"):
            self.fields[name].help_text = ""


def asked_days(typed: Mapping[str, Any], now: datetime) -> Days:
    """Return the days and times of a question that is asked now."""
    return Days(
        typed["first_day"], typed["last_day"], now=now,
        from_time=typed["from_time"], to_time=typed["to_time"],
    )  # fmt: skip


class ReasonField(forms.CharField):
    """Why it goes out anyway: asked for where something stands against it."""

    def __init__(self) -> None:
        super().__init__(
            required=False,
            max_length=300,
            label="Why it goes out anyway",
            help_text="Kept on record with your name.",
            widget=forms.Textarea(attrs={"rows": 2}),
            error_messages={"max_length": "Say it in at most 300 characters."},
        )


class BookingForm(HireFields, TimedDaysForm):
    """A promise of one machine, to a customer or on a hire that stands."""

    customer = forms.CharField(
        max_length=120,
        label="Customer or ranch job",
        error_messages={
            "required": "Say for whom the machine is.",
            "max_length": "Say it in at most 120 characters.",
        },
    )
    value = MoneyField(required=False, label="Value of the booking")
    hours_a_day = use_field()
    reason = ReasonField()
    form_key = forms.CharField(max_length=40, widget=forms.HiddenInput)

    field_order = [
        "customer", "first_day", "from_time", "last_day", "to_time", "value", "hours_a_day",
        *HireFields.HIRE_FIELDS, "reason", "form_key",
    ]  # fmt: skip


class LastDayForm(forms.Form):
    """Another last day for a booking, and why."""

    last_day = day_field("New last day", "Say until which day.")
    reason = forms.CharField(
        required=False,
        max_length=120,
        label="Reason",
        error_messages={"max_length": "Say it in at most 120 characters."},
    )
