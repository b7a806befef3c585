"""A class promised without a machine: called off, or given its machine by a booking."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from fleet.actions.keep_changes import keep_change
from fleet.models import Booking, ClassLine, Hire, MachineClass, Person, Yard
from fleet.refusal import Refusal


@dataclass(frozen=True)
class NewClassLine:
    """Any machine of a class that lives in a yard, from a first to a last day of that yard."""

    hire: Hire
    machine_class: MachineClass
    yard: Yard
    first_day: date
    last_day: date
    value: Decimal | None = None
    form_key: str | None = None


def write_class_line(new: NewClassLine, *, by: Person | None, now: datetime) -> ClassLine:
    """Write a promise of a class, in the transaction of whoever asked whether one is left."""
    return ClassLine.objects.create(
        hire=new.hire, machine_class=new.machine_class, yard=new.yard, first_day=new.first_day,
        last_day=new.last_day, value=new.value, made_at=now, made_by=by, form_key=new.form_key,
    )  # fmt: skip


def locked_line(line: ClassLine) -> ClassLine:
    """Return an open line, held until the transaction ends, so that it is given one machine."""
    rows = ClassLine.objects.select_for_update(of=("self",))
    return rows.select_related("hire__customer", "machine_class", "yard").get(pk=line.pk)


def fill_line(line: ClassLine, booking: Booking, *, by: Person | None, now: datetime) -> None:
    """Note which booking stands for the line now; inside the caller's transaction."""
    line.booking = booking
    line.save(update_fields=["booking"])
    keep_change(line, f"given {booking.machine.tag}"[:80], by=by, now=now)


@transaction.atomic
def call_off_line(line: ClassLine, *, by: Person | None, now: datetime) -> ClassLine:
    """Call a class off; twice is once.  One that has its machine is called off with that."""
    line = locked_line(line)
    if line.cancelled_at:
        return line
    if line.booking_id:
        raise Refusal("Its machine is chosen already; call that off instead.")
    line.cancelled_at, line.cancelled_by = now, by
    line.save(update_fields=["cancelled_at", "cancelled_by"])
    keep_change(line, "called off", by=by, now=now)
    return line
