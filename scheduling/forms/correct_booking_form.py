"""The form that changes a booking where it stands, filled with what it says."""

import json
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms

from fleet.actions.correct_bookings import FIELDS, BookingCorrection
from fleet.logged_words import values_of
from fleet.models import Booking, Person
from fleet.queries.own_facts import machines_alike
from fleet.repriced import Priced, repriced
from scheduling.forms.counter_forms import (
    LONGEST,
    BookingForm,
    ReasonField,
    day_field,
    from_field,
    refuse_backwards,
    to_field,
)


def seen_now(booking: Booking) -> str:
    """Return what a booking says, as a form carries it along to tell what others changed since."""
    return json.dumps(values_of(booking, FIELDS))


def seen_then(text: str) -> dict[str, str] | None:
    """Return what the booking said when the form was made; None where that is not told."""
    try:
        found = json.loads(text)
    except ValueError:
        return None
    if not isinstance(found, dict) or not all(isinstance(one, str) for one in found.values()):
        return None
    return found


class CorrectBookingForm(forms.Form):
    """A booking as it should be; the reason is kept with the name."""

    customer = BookingForm.base_fields["customer"]
    machine: forms.ModelChoiceField = forms.ModelChoiceField(
        queryset=None, label="Machine", empty_label=None
    )
    first_day = day_field("First day", "Say from which day.")
    from_time = from_field()
    last_day = day_field("Last day", "Say until which day.")
    to_time = to_field()
    value = BookingForm.base_fields["value"]
    hours_a_day = BookingForm.base_fields["hours_a_day"]
    reason = ReasonField()

    def __init__(
        self,
        data: Mapping[str, Any] | None,
        booking: Booking,
        person: Person,
        *,
        auto_id: str = "id_%s",
    ) -> None:
        said = (
            "customer", "first_day", "last_day", "from_time", "to_time", "value", "hours_a_day",
        )  # fmt: skip
        initial = {name: getattr(booking, name) for name in said}
        super().__init__(data, auto_id=auto_id, initial={**initial, "machine": booking.machine_id})
        self.booking = booking
        machine = self.fields["machine"]
        assert isinstance(machine, forms.ModelChoiceField)
        machine.queryset = machines_alike(person, booking.machine)
        self.fields["value"].help_text = "if you leave it, it follows the days"
        self.fields["reason"].label = "Why it is changed"
        self.fields["reason"].required = False

    def clean(self) -> dict[str, Any]:
        """Refuse days that run on for years, and times that run backwards."""
        first, last = self.cleaned_data.get("first_day"), self.cleaned_data.get("last_day")
        if first and last and last - first > LONGEST:
            self.add_error("last_day", "That is more than a year; book it in shorter pieces.")
        return refuse_backwards(self, self.cleaned_data)

    def right(self) -> BookingCorrection:
        """Return what the booking should say; a price that nobody touched follows the days."""
        typed, booking = self.cleaned_data, self.booking
        value: Decimal | None = typed["value"]
        if value == booking.value:
            was = Priced(booking.first_day, booking.last_day, booking.machine.price_a_day)
            now = Priced(typed["first_day"], typed["last_day"], typed["machine"].price_a_day)
            value = repriced(value, was, now)
        return BookingCorrection(
            typed["machine"], typed["first_day"], typed["last_day"], typed["customer"],
            value, typed["from_time"], typed["to_time"], typed["hours_a_day"],
        )  # fmt: skip
