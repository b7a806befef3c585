"""A class promised without a machine: changed, called off and back in, given its machine."""

from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal

from django.db import transaction

from fleet.actions.keep_changes import differences, keep_change
from fleet.actions.remember_acts import remember_act
from fleet.booked_times import PromisedDays
from fleet.logged_words import values_of
from fleet.models import Act, Booking, ClassLine, Hire, MachineClass, Person, Yard
from fleet.refusal import Refusal

FIELDS = (
    "machine_class", "yard", "first_day", "last_day", "from_time", "to_time", "value",
)  # fmt: skip
"""Fields of a class line that can be changed."""


@dataclass(frozen=True)
class NewClassLine:
    """Any machine of a class that lives in a yard, from a first to a last day of that yard.

    from_time, to_time: where no whole days are meant.
    """

    hire: Hire
    machine_class: MachineClass
    yard: Yard
    first_day: date
    last_day: date
    value: Decimal | None = None
    form_key: str | None = None
    from_time: time | None = None
    to_time: time | None = None

    @property
    def days(self) -> PromisedDays:
        """Its days and times of day, in the yard's zone."""
        return PromisedDays(self.first_day, self.last_day, self.from_time, self.to_time)


def write_class_line(new: NewClassLine, *, by: Person | None, now: datetime) -> ClassLine:
    """Write a promise of a class, in the transaction of whoever asked whether one is left."""
    line = ClassLine.objects.create(
        hire=new.hire, machine_class=new.machine_class, yard=new.yard, first_day=new.first_day,
        last_day=new.last_day, from_time=new.from_time, to_time=new.to_time, value=new.value,
        made_at=now, made_by=by, form_key=new.form_key,
    )  # fmt: skip
    words = f"the booking of any {new.machine_class} for {new.hire.who}"
    remember_act(Act.What.BOOKING, words, {"class line": [line]}, by=by, now=now)
    return line


def locked_line(line: ClassLine) -> ClassLine:
    """Return an open line, held until the transaction ends, so that it is given one machine."""
    rows = ClassLine.objects.select_for_update(of=("self",), no_key=True)
    return rows.select_related("hire__customer", "machine_class", "yard", "booking").get(pk=line.pk)


def standing_booking(line: ClassLine) -> Booking | None:
    """Return the machine that stands for a line; one that was called off does not."""
    booking = line.booking
    return booking if booking is not None and booking.cancelled_at is None else None


def refuse_given(line: ClassLine) -> None:
    """Refuse to change a line whose machine is chosen: that is a booking of its own."""
    if (booking := standing_booking(line)) is not None:
        raise Refusal(f"{booking.machine.tag} is chosen for it; change that booking instead.")


def fill_line(line: ClassLine, booking: Booking, *, by: Person | None, now: datetime) -> None:
    """Note which booking stands for the line now; inside the caller's transaction."""
    line.booking = booking
    line.save(update_fields=["booking"])
    keep_change(line, f"given {booking.machine.tag}"[:80], by=by, now=now)


def write_changed_line(
    line: ClassLine, right: NewClassLine, *, by: Person | None, now: datetime, why: str = ""
) -> ClassLine:
    """Write what a line should say, in the transaction of whoever asked whether one is left."""
    before = values_of(line, FIELDS)
    for name in FIELDS:
        setattr(line, name, getattr(right, name))
    changed = differences(before, values_of(line, FIELDS))
    if changed:
        line.save(update_fields=FIELDS)
        keep_change(line, "corrected", changed, by=by, now=now, reason=why)
    return line


@transaction.atomic
def call_off_line(line: ClassLine, *, by: Person | None, now: datetime, why: str = "") -> ClassLine:
    """Call a class off; twice is once.  One that has its machine is called off with that."""
    line = locked_line(line)
    if line.cancelled_at:
        return line
    if standing_booking(line) is not None:
        raise Refusal("Its machine is chosen already; call that off instead.")
    line.cancelled_at, line.cancelled_by = now, by
    line.save(update_fields=["cancelled_at", "cancelled_by"])
    keep_change(line, "called off", by=by, now=now, reason=why)
    return line


def write_called_back(line: ClassLine, *, by: Person | None, now: datetime) -> ClassLine:
    """Let a line stand again, in the transaction of whoever asked whether one is left."""
    line.cancelled_at = line.cancelled_by = None
    line.save(update_fields=["cancelled_at", "cancelled_by"])
    keep_change(line, "called back in", by=by, now=now)
    return line
