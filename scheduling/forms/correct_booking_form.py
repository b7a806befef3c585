"""The form that puts a booking right, filled with what it says."""

from collections.abc import Mapping
from typing import Any

from django import forms

from fleet.actions.correct_bookings import BookingCorrection
from fleet.models import Booking, Person
from fleet.queries.own_facts import machines_alike
from scheduling.forms.counter_forms import LONGEST, BookingForm, ReasonField, day_field


class CorrectBookingForm(forms.Form):
    """A booking as it should have been made; the reason is kept with the name."""

    customer = BookingForm.base_fields["customer"]
    machine: forms.ModelChoiceField = forms.ModelChoiceField(
        queryset=None, label="Machine", empty_label=None
    )
    first_day = day_field("First day", "Say from which day.")
    last_day = day_field("Last day", "Say until which day.")
    value = BookingForm.base_fields["value"]
    reason = ReasonField()

    def __init__(self, data: Mapping[str, Any] | None, booking: Booking, person: Person) -> None:
        said = ("customer", "first_day", "last_day", "value")
        initial = {name: getattr(booking, name) for name in said}
        super().__init__(data, initial={**initial, "machine": booking.machine_id})
        machine = self.fields["machine"]
        assert isinstance(machine, forms.ModelChoiceField)
        machine.queryset = machines_alike(person, booking.machine)
        self.fields["reason"].label = "Why it is corrected"
        self.fields["reason"].required = False

    def clean(self) -> dict[str, Any]:
        """Refuse days that run on for years."""
        first, last = self.cleaned_data.get("first_day"), self.cleaned_data.get("last_day")
        if first and last and last - first > LONGEST:
            self.add_error("last_day", "That is more than a year; book it in shorter pieces.")
        return self.cleaned_data

    def right(self) -> BookingCorrection:
        """Return what the booking should have said."""
        typed = self.cleaned_data
        return BookingCorrection(
            typed["machine"], typed["first_day"], typed["last_day"], typed["customer"],
            typed["value"],
        )  # fmt: skip
