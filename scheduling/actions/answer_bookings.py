"""What becomes of the promises of a machine that is retired, held or moved: each is answered for.

A promise stays (and shows as a problem for as long as its machine may not go), is called off, or
goes to another machine that may go out on its days.
"""

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from django.db import transaction

from fleet.actions.keep_times import promised_span
from fleet.actions.make_bookings import call_off
from fleet.actions.move_machines import move_machine
from fleet.actions.retire_machines import retire_machine
from fleet.actions.swap_bookings import swap_booking
from fleet.models import Booking, Machine, Person, Yard
from fleet.refusal import Refusal
from scheduling.availability.counter_facts import left_of
from scheduling.availability.three_answers import Answer
from scheduling.queries.may_go_out import may_go_between


class Fate(StrEnum):
    """What becomes of a booking."""

    KEEP = "keep"
    OFF = "off"
    SWAP = "swap"


@dataclass(frozen=True)
class BookingFate:
    """One booking, what becomes of it, and for a swap which machine takes its place."""

    booking: Booking
    fate: Fate
    machine: Machine | None = None


@dataclass(frozen=True)
class LifeChange:
    """Who changes the life of a machine, when and why, and what becomes of its bookings."""

    by: Person
    now: datetime
    reason: str
    fates: Sequence[BookingFate] = ()


@transaction.atomic
def answer_bookings(change: LifeChange) -> None:
    """Do what was said of each booking; one that cannot be done undoes all."""
    for one in change.fates:
        if one.fate == Fate.OFF:
            _call_off(one.booking, change)
        elif one.fate == Fate.SWAP and one.machine is not None:
            _swap(one.booking, one.machine, change)


def _call_off(booking: Booking, change: LifeChange) -> None:
    if booking.cancelled_at is None:
        call_off(booking, by=change.by, now=change.now, why=change.reason)


def _swap(booking: Booking, machine: Machine, change: LifeChange) -> None:
    today = change.now.astimezone(machine.yard.zone).date()
    given = copy(booking)
    given.machine = machine
    given.starts_at, given.ends_at = promised_span(given)
    answer = may_go_between(machine, left_of(given, today, change.now), today)
    if answer.kind == Answer.MAY_NOT and booking.machine_id != machine.pk:
        raise Refusal(f"{answer.why_head}, so {machine} cannot take the booking of"
                      f" {booking.customer}. Choose another.")  # fmt: skip
    swap_booking(booking, machine, reason=change.reason, by=change.by, now=change.now)


@transaction.atomic
def retire_and_answer(machine: Machine, day: date, change: LifeChange) -> Machine:
    """Retire a machine, with what becomes of each of its bookings."""
    answer_bookings(change)
    return retire_machine(machine, day, reason=change.reason, by=change.by, now=change.now)


@transaction.atomic
def move_and_answer(machine: Machine, yard: Yard, change: LifeChange) -> Machine:
    """Move a machine, with what becomes of each of its bookings."""
    answer_bookings(change)
    return move_machine(machine, yard, reason=change.reason, by=change.by, now=change.now)
