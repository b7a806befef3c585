"""What the counter asks: a class and days; a booking; another last day."""

from datetime import date, timedelta
from typing import Any

from django import forms

from fleet.models import Person
from fleet.queries.machine_classes import machine_classes
from scheduling.forms.hire_fields import HireFields
from scheduling.forms.own_yard_field import OwnYard, offer_own_yards

LONGEST = timedelta(days=366)
"""Longest stay out that is asked for in one go."""

NOT_A_DATE = "That is not a day of the calendar; write it as 2026-03-05."


def day_field(label: str, missing: str) -> forms.DateField:
    """Return a field for one day."""
    return forms.DateField(
        label=label,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"required": missing, "invalid": NOT_A_DATE},
    )


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


class QuestionForm(DaysForm):
    """Which class, which days, in which yard if it matters."""

    machine_class = forms.ModelChoiceField(
        machine_classes(), label="Class", empty_label="choose a class",
        error_messages={
            "required": "Say which class of machine.",
            "invalid_choice": "There is no such class; choose one from the list.",
        },
    )  # fmt: skip
    yard = OwnYard()
    hours_a_day = forms.FloatField(
        required=False, min_value=0, max_value=24, label="Use a day, in hours",
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
        error_messages={
            "invalid": "Write the hours in digits, such as 8 or 2.5.",
            "min_value": "Hours below zero cannot be right.",
            "max_value": "A day has 24 hours.",
        },
    )  # fmt: skip

    field_order = ["machine_class", "first_day", "last_day", "yard", "hours_a_day"]

    def __init__(self, data: Any = None, *, person: Person, today: date) -> None:
        asked = data if data and "machine_class" in data else None
        initial = {"first_day": today, "last_day": today + timedelta(days=3)}
        super().__init__(asked, today=today, initial=initial, auto_id="ask_%s")
        offer_own_yards(self, person)


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


class BookingForm(HireFields, DaysForm):
    """A promise of one machine, to a customer or on a hire that stands."""

    customer = forms.CharField(
        max_length=120,
        label="Customer or ranch job",
        error_messages={
            "required": "Say for whom the machine is.",
            "max_length": "Say it in at most 120 characters.",
        },
    )
    value = forms.DecimalField(
        required=False, min_value=0, max_digits=10, decimal_places=2,
        label="Value of the booking",
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
        error_messages={
            "invalid": "Write the value in digits, such as 480 or 480.50.",
            "min_value": "A value below zero cannot be right.",
            "max_digits": "That is more than a booking can be worth; check the digits.",
            "max_decimal_places": "Write at most two places behind the point.",
            "max_whole_digits": "That is more than a booking can be worth; check the digits.",
        },
    )  # fmt: skip
    reason = ReasonField()
    form_key = forms.CharField(max_length=40, widget=forms.HiddenInput)

    field_order = [
        "customer", "first_day", "last_day", "value", *HireFields.HIRE_FIELDS, "reason", "form_key",
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
