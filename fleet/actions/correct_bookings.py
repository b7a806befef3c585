"""Bookings put right: customer, days, value, machine; called back in after they were called off."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal

from django.db import transaction

from fleet.actions.correct_customers import give_line_a_name
from fleet.actions.fit_meters import lock_machines
from fleet.actions.keep_changes import differences, keep_change
from fleet.actions.keep_times import save_booking
from fleet.actions.make_bookings import refuse_clash, refuse_days
from fleet.booked_times import PromisedDays
from fleet.changed_facts import tell
from fleet.logged_words import values_of
from fleet.models import Booking, BookingChange, HandOver, Machine, Person
from fleet.queries.own_facts import changes_to
from fleet.refusal import Refusal
from fleet.told_values import ReadAt, say_value

FIELDS = (
    "machine", "customer", "first_day", "last_day", "from_time", "to_time", "value", "hours_a_day",
)  # fmt: skip
"""Fields of a booking that can be corrected."""


@dataclass(frozen=True)
class BookingCorrection:
    """What the booking should have said; days and times of day are those of the machine's yard."""

    machine: Machine
    first_day: date
    last_day: date
    customer: str
    value: Decimal | None = None
    from_time: time | None = None
    to_time: time | None = None
    hours_a_day: float | None = None

    @property
    def days(self) -> PromisedDays:
        """Its days and times of day."""
        return PromisedDays(self.first_day, self.last_day, self.from_time, self.to_time)


@transaction.atomic
def correct_booking(
    booking: Booking,
    right: BookingCorrection,
    *,
    why: str,
    by: Person | None,
    now: datetime,
    seen: Mapping[str, str] | None = None,
) -> Booking:
    """Put a booking right; what it said before is kept in the change log.

    seen: what it said when whoever changes it looked, so that two who do are told of each other.
    Whether the machine may go out on other days is asked before, of the blocks.

    Raises:
        Refusal: it was called off, the machine is out or back, or promised to another.

    """
    lock_machines(sorted({booking.machine_id, right.machine.pk}))
    booking = Booking.objects.select_related("machine__yard", "machine__makeup__machine_class").get(
        pk=booking.pk
    )
    if booking.cancelled_at:
        raise Refusal("This booking was called off; call it back in first.")
    if not right.customer.strip():
        raise Refusal("Say for whom the machine is.", "customer")
    if seen is not None:
        _refuse_changed_meanwhile(booking, seen, now)
    moved = _may_move(booking, right)
    before = values_of(booking, FIELDS)
    old_machine, old_last = booking.machine, booking.last_day
    name = give_line_a_name(booking, right.customer, why=why, by=by, now=now)
    booking.machine, booking.customer = right.machine, name
    booking.first_day, booking.last_day = right.first_day, right.last_day
    booking.from_time, booking.to_time = right.from_time, right.to_time
    booking.value, booking.hours_a_day = right.value, right.hours_a_day
    changed = differences(before, values_of(booking, FIELDS))
    if not changed:
        return booking
    if moved:
        refuse_days(booking.days, now.astimezone(right.machine.yard.zone).date())
        refuse_taken(booking)
        save_booking(booking, FIELDS)
    else:
        booking.save(update_fields=FIELDS)
    if old_last != right.last_day:
        BookingChange.objects.create(
            booking=booking, old_last_day=old_last, new_last_day=right.last_day,
            reason=why[:120], by=by, at=now,
        )  # fmt: skip
    keep_change(booking, "corrected", changed, by=by, now=now, reason=why)
    tell({old_machine.pk, right.machine.pk})
    return booking


def _refuse_changed_meanwhile(booking: Booking, seen: Mapping[str, str], now: datetime) -> None:
    """Tell what somebody else changed since the form was made."""
    changed = [one for one in differences(seen, values_of(booking, FIELDS)) if one.field in seen]
    if not changed:
        return
    last = changes_to(booking).order_by("at", "pk").last()
    who = str(last.by) if last and last.by else "Somebody else"
    yard = booking.machine.yard
    read = ReadAt(yard, now.astimezone(yard.zone).date())

    def said(field: str, value: str) -> str:
        return say_value(value, "booking", field, read) or "none"

    told = "; ".join(
        f"{one.field} {said(one.field, one.new)}, was {said(one.field, one.old)}" for one in changed
    )
    raise Refusal(
        f"{who} changed this booking while you did: {told}. What you typed is kept below; look at"
        " it again and press once more."
    )


def _may_move(booking: Booking, right: BookingCorrection) -> bool:
    """Tell whether it says other days or another machine.

    Who and how much can be corrected at any time; days and times until the machine is back; the
    machine that is out by `correct_machine_out` alone.
    """
    if (booking.machine_id, booking.days) == (right.machine.pk, right.days):
        return False
    handed = {row.direction for row in booking.hand_overs.all()}
    if HandOver.Direction.BACK in handed:
        raise Refusal(
            f"{booking.machine.tag} is back from this booking, so its machine and its days stand;"
            " correct the check-out or the return instead.",
            "first_day",
        )
    if handed and booking.machine_id != right.machine.pk:
        raise Refusal(f"{booking.machine.tag} has gone out on this booking.", "machine")
    return True


def refuse_taken(booking: Booking) -> None:
    """Refuse days on which a booking's machine is retired or promised to somebody else."""
    machine = booking.machine
    if machine.retired_on and machine.retired_on <= booking.last_day:
        raise Refusal(f"{machine.tag} is retired; choose another machine.", "machine")
    refuse_clash(booking)


@transaction.atomic
def call_back_in(booking: Booking, *, by: Person | None, now: datetime) -> Booking:
    """Let a booking that was called off stand again, if its machine is free; twice is once."""
    lock_machines([booking.machine_id])
    booking = Booking.objects.select_related("machine__yard", "machine__makeup__machine_class").get(
        pk=booking.pk
    )
    if booking.cancelled_at is None:
        return booking
    refuse_taken(booking)
    before = values_of(booking, ("cancelled_at",))
    booking.cancelled_at = booking.cancelled_by = None
    save_booking(booking, ["cancelled_at", "cancelled_by"])
    after = values_of(booking, ("cancelled_at",))
    keep_change(booking, "called back in", differences(before, after), by=by, now=now)
    tell({booking.machine_id})
    return booking
