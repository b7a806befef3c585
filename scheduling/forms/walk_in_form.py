"""Somebody who stands at the counter: who, which class or machine, until when."""

from datetime import date, datetime
from typing import Any

from django import forms

from fleet.booked_times import PromisedDays, due_back
from fleet.forms.money_field import MoneyField
from fleet.models import Machine, Person
from fleet.queries.machine_classes import machine_classes
from fleet.queries.mine import day_of
from scheduling.forms.counter_forms import LONGEST, BookingForm, day_field, to_field
from scheduling.forms.hire_fields import HireFields, short_text
from scheduling.queries.machine_list import machine_at_hand


class WalkInForm(HireFields, forms.Form):
    """What a booking from now on says; a tag stands before a class, of which the best is taken.

    sheet: the tag of the machine whose sheet is on the page, which alone can go by it.
    """

    customer = BookingForm.base_fields["customer"]
    machine_class = forms.ModelChoiceField(
        machine_classes(), required=False, label="Class", empty_label="choose a class",
        error_messages={"invalid_choice": "There is no such class; choose one from the list."},
    )  # fmt: skip
    tag = short_text("Machine", 20, "its tag; empty: the best of the class")
    last_day = day_field("Until", "Say until which day.")
    to_time = to_field()
    value = MoneyField(
        required=False, label="Value of the booking", help_text="empty: by its day rate"
    )
    sheet = forms.CharField(required=False, max_length=20, widget=forms.HiddenInput)

    def __init__(self, data: Any = None, *, person: Person, now: datetime, **more: Any) -> None:
        self.person, self.now = person, now
        self._named: dict[str, Machine | None] = {}
        self.today: date = day_of(person, now)
        super().__init__(data, **more)
        self.fields["last_day"].widget.attrs["min"] = self.today.isoformat()

    def clean_last_day(self) -> date:
        """Refuse days that are past, and years."""
        last: date = self.cleaned_data["last_day"]
        if last < self.today:
            raise forms.ValidationError("That day is past; choose today or a later one.")
        if last - self.today > LONGEST:
            raise forms.ValidationError("That is more than a year; book it in shorter pieces.")
        return last

    def clean(self) -> dict[str, Any]:
        """Ask for a machine that is here, and for a time that is still to come."""
        typed = super().clean() or self.cleaned_data
        machine = self.machine_named()
        if machine is None and "machine_class" not in self.errors:
            fault = "No machine here carries that tag." if typed.get("tag") else "Say which one."
            self.add_error("tag", fault)
        if machine and typed.get("last_day") and typed.get("to_time"):
            days = PromisedDays(self.today, typed["last_day"], None, typed["to_time"])
            if due_back(days, machine.yard.zone) <= self.now:
                self.add_error("to_time", "That time is past already; look at it again.")
        return typed

    def said(self, name: str) -> str:
        """Return what stands in a field, typed or offered."""
        return str(self[name].value() or "").strip().replace("\x00", "")

    def machine_named(self) -> Any:
        """Return the machine of the tag that is typed, if it is one of this person's, or None."""
        tag = self.said("tag")
        if tag not in self._named:
            self._named[tag] = machine_at_hand(self.person, tag) if tag else None
        return self._named[tag]

    def until(self) -> PromisedDays:
        """Return the days from now on, as far as what is typed makes sense."""
        try:
            last = self.fields["last_day"].to_python(self.said("last_day")) or self.today
            to_time = self.fields["to_time"].to_python(self.said("to_time"))
        except forms.ValidationError:
            last, to_time = self.today, None
        last = min(max(last, self.today), self.today + LONGEST)
        return PromisedDays(self.today, last, None, to_time)
