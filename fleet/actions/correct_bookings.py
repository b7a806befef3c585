"""Bookings put right: customer, days, value, machine; called back in after they were called off."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from fleet.actions.fit_meters import lock_machines
from fleet.actions.keep_changes import differences, keep_change, values_of
from fleet.actions.make_bookings import clash
from fleet.changed_facts import tell
from fleet.models import Booking, BookingChange, Machine, Person
from fleet.refusal import Refusal
from fleet.saying import short_date

FIELDS = ("machine", "customer", "first_day", "last_day", "value")
"""Fields of a booking that can be corrected."""


@dataclass(frozen=True)
class BookingCorrection:
    """What the booking should have said; the days are days of the machine's yard."""

    machine: Machine
    first_day: date
    last_day: date
    customer: str
    value: Decimal | None = None


@transaction.atomic
def correct_booking(
    booking: Booking, right: BookingCorrection, *, why: str, by: Person | None, now: datetime
) -> Booking:
    """Put a booking right; what it said before is kept in the change log.

    Whether the machine may go out on other days is asked before, of the blocks.

    Raises:
        Refusal: it was called off, the machine is out or back, or promised to another.

    """
    lock_machines(sorted({booking.machine_id, right.machine.pk}))
    booking = Booking.objects.select_related("machine__yard").get(pk=booking.pk)
    if booking.cancelled_at:
        raise Refusal("This booking was called off; call it back in first.")
    if not right.customer.strip():
        raise Refusal("Say for whom the machine is.", "customer")
    _refuse_moved(booking, right)
    before = values_of(booking, FIELDS)
    old_machine, old_last = booking.machine, booking.last_day
    booking.machine, booking.customer = right.machine, right.customer.strip()
    booking.first_day, booking.last_day = right.first_day, right.last_day
    booking.value = right.value
    changed = differences(before, values_of(booking, FIELDS))
    if not changed:
        return booking
    booking.save(update_fields=FIELDS)
    if old_last != right.last_day:
        BookingChange.objects.create(
            booking=booking, old_last_day=old_last, new_last_day=right.last_day,
            reason=why[:120], by=by, at=now,
        )  # fmt: skip
    keep_change(booking, "corrected", changed, by=by, now=now, reason=why)
    tell({old_machine.pk, right.machine.pk})
    return booking


def _refuse_moved(booking: Booking, right: BookingCorrection) -> None:
    """Refuse days or a machine that cannot be; who and how much can be corrected at any time."""
    same = (booking.machine_id, booking.first_day, booking.last_day)
    if same == (right.machine.pk, right.first_day, right.last_day):
        return
    if booking.hand_overs.exists():
        raise Refusal(
            f"{booking.machine.tag} has gone out on this booking, so its machine and its days"
            " stand; correct the check-out or the return instead.",
            "first_day",
        )
    if right.last_day < right.first_day:
        raise Refusal("The last day is before the first; swap them.", "last_day")
    refuse_taken(right.machine, right.first_day, right.last_day, booking)


def refuse_taken(machine: Machine, first_day: date, last_day: date, booking: Booking) -> None:
    """Refuse days on which a machine is retired or promised to somebody else."""
    if machine.retired_on and machine.retired_on <= last_day:
        raise Refusal(f"{machine.tag} is retired; choose another machine.", "machine")
    if other := clash(machine, first_day, last_day, but=booking):
        first, last = (short_date(day, first_day) for day in (other.first_day, other.last_day))
        raise Refusal(
            f"{machine.tag} is booked for {other.customer} from {first} to {last};"
            " choose other days or another machine.",
            "first_day",
        )


@transaction.atomic
def call_back_in(booking: Booking, *, by: Person | None, now: datetime) -> Booking:
    """Let a booking that was called off stand again, if its machine is free; twice is once."""
    lock_machines([booking.machine_id])
    booking = Booking.objects.select_related("machine__yard").get(pk=booking.pk)
    if booking.cancelled_at is None:
        return booking
    refuse_taken(booking.machine, booking.first_day, booking.last_day, booking)
    before = values_of(booking, ("cancelled_at",))
    booking.cancelled_at = booking.cancelled_by = None
    booking.save(update_fields=["cancelled_at", "cancelled_by"])
    after = values_of(booking, ("cancelled_at",))
    keep_change(booking, "called back in", differences(before, after), by=by, now=now)
    tell({booking.machine_id})
    return booking
