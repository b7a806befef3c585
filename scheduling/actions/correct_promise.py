"""A booking put right, where the blocks have a say in its new days or its new machine."""

from collections.abc import Mapping
from copy import copy
from datetime import date, datetime

from django.db import transaction

from fleet.actions.correct_bookings import BookingCorrection, call_back_in, correct_booking
from fleet.actions.correct_out import correct_machine_out
from fleet.actions.keep_times import promised_span
from fleet.models import Booking, Machine
from fleet.repriced import Priced, repriced
from fleet.turns import in_turn
from scheduling.actions.book_and_check_out import (
    Decision,
    override_objections,
    refuse_final,
    want_reason,
)
from scheduling.availability.answer import Availability
from scheduling.availability.counter_facts import left_of
from scheduling.queries.may_go_out import Days, may_go_between


@in_turn
@transaction.atomic
def correct_unless_blocked(
    booking: Booking,
    right: BookingCorrection,
    decision: Decision,
    *,
    seen: Mapping[str, str] | None = None,
) -> Booking:
    """Correct a booking; other days or another machine are asked of the blocks, like a new one.

    seen: what it said when whoever corrects it looked.
    """
    booking = Booking.objects.select_related("machine__yard").get(pk=booking.pk)
    answer = what_it_would_do(booking, right, decision)
    if answer is not None:
        refuse_final(answer, "first_day")
        if answer.needs_reason:
            want_reason(answer, decision)
    if right.machine.pk != booking.machine_id and booking.hand_overs.exists():
        booking = correct_machine_out(
            booking, right.machine, why=decision.reason, by=decision.by, now=decision.now
        )
        seen = None  # it says another machine by now
    booking = correct_booking(
        booking, right, why=decision.reason, by=decision.by, now=decision.now, seen=seen
    )
    if answer is not None and answer.needs_reason:
        override_objections(booking, answer, decision)
    return booking


def give_another_machine(
    booking: Booking,
    machine: Machine,
    decision: Decision,
    *,
    seen: Mapping[str, str] | None = None,
) -> Booking:
    """Promise another machine in the place of this one; its price follows the machine's."""
    days = booking.first_day, booking.last_day
    was, now = Priced(*days, booking.machine.price_a_day), Priced(*days, machine.price_a_day)
    right = BookingCorrection(
        machine, *days, booking.customer, repriced(booking.value, was, now),
        booking.from_time, booking.to_time, booking.hours_a_day,
    )  # fmt: skip
    return correct_unless_blocked(booking, right, decision, seen=seen)


def what_it_would_do(
    booking: Booking, right: BookingCorrection, decision: Decision
) -> Availability | None:
    """Return whether the machine may go out on its new days, as far as they lie ahead."""
    same_machine = booking.machine_id == right.machine.pk
    starts, ends = span = _moments(booking, right)
    within = booking.starts_at <= starts and ends <= booking.ends_at
    today: date = decision.day(right.machine)
    same_use = booking.hours_a_day == right.hours_a_day
    if (same_machine and within and same_use) or right.last_day < max(today, right.first_day):
        return None
    but = booking if same_machine else None
    first = max(today, right.first_day)
    days = Days(first, right.last_day, span, decision.now)
    hours = right.hours_a_day
    return may_go_between(right.machine, days, today, but=but, hours_a_day=hours)


def _moments(booking: Booking, right: BookingCorrection) -> tuple[datetime, datetime]:
    """Return the moments that the booking would have."""
    changed = copy(booking)
    changed.machine = right.machine
    changed.first_day, changed.last_day = right.first_day, right.last_day
    changed.from_time, changed.to_time = right.from_time, right.to_time
    return promised_span(changed)


@transaction.atomic
def call_back_in_unless_blocked(booking: Booking, decision: Decision) -> Booking:
    """Let a booking that was called off stand again; what is final against it refuses it."""
    rows = Booking.objects.select_related("machine__yard__shop", "machine__makeup__machine_class")
    booking = rows.get(pk=booking.pk)
    today = decision.day(booking.machine)
    days = left_of(booking, today, decision.now)
    if days.first <= days.last:
        refuse_final(may_go_between(booking.machine, days, today, but=booking))
    return call_back_in(booking, by=decision.by, now=decision.now)
