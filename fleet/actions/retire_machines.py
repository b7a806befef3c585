"""A machine ends its work, with a reason, and may be brought back to it."""

from datetime import date, datetime

from django.db import transaction

from fleet.actions.fit_meters import lock_machines
from fleet.actions.keep_changes import differences, keep_change
from fleet.changed_facts import tell
from fleet.logged_words import values_of
from fleet.models import Machine, Person, Pin
from fleet.queries.coming_bookings import out_on
from fleet.refusal import Refusal

FIELDS = ["retired_on", "retired_why"]


@transaction.atomic
def retire_machine(
    machine: Machine, day: date, *, reason: str, by: Person, now: datetime
) -> Machine:
    """Retire a machine from a day of its yard on; twice is once.

    Its book, readings and bookings stay.  A promise that is still open stays on the desk's list
    as a problem until somebody answers it.  Pins of its work are lifted.
    """
    lock_machines([machine.pk])
    machine.refresh_from_db()
    today = now.astimezone(machine.yard.zone).date()
    if machine.retired_on is not None:
        return machine
    if not reason.strip():
        raise Refusal("Say why it is retired: sold, scrapped, lost.", "reason")
    if day > today:
        raise Refusal("Retire it on the day on which it goes; that day is still to come.", "day")
    if machine.started_on and day < machine.started_on:
        raise Refusal(f"It only began work on {machine.started_on:%-d %b %Y}.", "day")
    if booking := out_on(machine, today):
        raise Refusal(
            f"{machine} is out with {booking.customer}. Take it back first, or say on the booking"
            " what became of it."
        )
    before = values_of(machine, FIELDS)
    machine.retired_on, machine.retired_why = day, reason.strip()[:200]
    machine.save(update_fields=FIELDS)
    lift_pins(machine, by=by, now=now)
    changed = differences(before, values_of(machine, FIELDS))
    keep_change(machine, "retired", changed, by=by, now=now, reason=reason)
    tell({machine.pk})
    return machine


@transaction.atomic
def bring_back(machine: Machine, *, reason: str, by: Person, now: datetime) -> Machine:
    """Let a retired machine work again; twice is once."""
    lock_machines([machine.pk])
    machine.refresh_from_db()
    if machine.merged_into_id:
        raise Refusal(
            f"{machine} is one machine with {machine.merged_into}, so it cannot work beside it."
        )
    if machine.retired_on is None:
        return machine
    if not reason.strip():
        raise Refusal("Say why it works again.", "reason")
    before = values_of(machine, FIELDS)
    machine.retired_on, machine.retired_why = None, ""
    machine.save(update_fields=FIELDS)
    changed = differences(before, values_of(machine, FIELDS))
    keep_change(machine, "brought back", changed, by=by, now=now, reason=reason)
    tell({machine.pk})
    return machine


def lift_pins(machine: Machine, *, by: Person, now: datetime) -> int:
    """Lift the pins of a machine's work where its shop days end; return how many there were."""
    return Pin.objects.filter(machine=machine, lifted_at=None).update(lifted_at=now, lifted_by=by)
