"""A booking goes to another machine; the customer and the days stay."""

from datetime import datetime

from django.db import transaction

from fleet.actions.fit_meters import lock_machines
from fleet.actions.keep_changes import ChangedValue, keep_change
from fleet.actions.keep_times import save_booking
from fleet.actions.make_bookings import refuse_clash
from fleet.changed_facts import tell
from fleet.models import Booking, Machine, Person
from fleet.refusal import Refusal


@transaction.atomic
def swap_booking(
    booking: Booking, machine: Machine, *, reason: str, by: Person | None, now: datetime
) -> Booking:
    """Promise another machine in the place of this one; twice is once.

    Whether it may go out is asked before: see `scheduling.actions.answer_bookings`.
    """
    lock_machines([booking.machine_id, machine.pk])
    booking.refresh_from_db()
    before = booking.machine
    if before == machine:
        return booking
    if booking.cancelled_at:
        raise Refusal(f"The booking for {booking.customer} was called off already.")
    if booking.hand_overs.exists():
        raise Refusal(f"{before} has gone out on this booking; take it back instead.")
    if machine.retired_on:
        raise Refusal(f"{machine} is retired; choose another machine.")
    booking.machine = machine
    refuse_clash(booking)
    save_booking(booking, ["machine"])
    swapped = [ChangedValue("machine", before.tag, machine.tag)]
    keep_change(booking, "given another machine", swapped, by=by, now=now, reason=reason)
    tell({before.pk, machine.pk})
    return booking
