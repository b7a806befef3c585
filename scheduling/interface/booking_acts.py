"""Bookings made and moved for a client, by the same actions as the counter's pages."""

from collections.abc import Callable
from decimal import Decimal
from functools import partial
from typing import Any

from fleet.actions.correct_bookings import BookingCorrection
from fleet.actions.make_bookings import NewBooking, call_off
from fleet.models import Booking, Machine, Yard
from fleet.queries.standing_keys import day_of_key, machines_of_key
from fleet.refusal import Refusal
from scheduling.actions.book_and_check_out import (
    Decision,
    book_unless_blocked,
    prolong_unless_blocked,
)
from scheduling.actions.correct_promise import correct_unless_blocked
from scheduling.availability.counter_facts import Days
from scheduling.interface.asked import (
    class_named,
    day_written,
    days_written,
    machine_tagged,
    time_written,
    times_written,
    yard_of_key,
)
from scheduling.interface.bearer import Caller
from scheduling.interface.booking_shapes import BookingIn, BookingMove
from scheduling.interface.problem_details import NotSo
from scheduling.queries.may_go_out import which_may

TRIED = 5
"""Machines of a class that are tried, where others book at the same moment."""

NO_NAME = "Nobody answers for this key, so it cannot go against a block."


def decision_of(caller: Caller, reason: str) -> Decision:
    """Return who decides; where nobody answers for the key, no reason would count."""
    person = caller.key.answers
    return Decision(person, caller.now, reason if person else "")  # type: ignore[arg-type]


def make(caller: Caller, asked: BookingIn) -> Booking:
    """Book the machine that is asked for, or the best of the class that may go."""
    if bool(asked.machine) == bool(asked.class_):
        raise NotSo(422, "Say a machine or a class, one of the two.", "machine")
    if asked.machine:
        machine = machine_tagged(caller.key, asked.machine)
        days = _days(caller, machine.yard, asked)
        return _book(caller, asked, machine, days)
    yard = yard_of_key(caller.key, asked.yard)
    days = _days(caller, yard, asked)
    return _book_of_class(caller, asked, days, yard)


def _days(caller: Caller, yard: Yard | None, asked: BookingIn) -> Days:
    today = day_of_key(caller.key, yard, caller.now)
    days = days_written(asked.first_day, asked.last_day, today)
    return times_written(days, asked.from_time, asked.to_time, caller.now)


def _book(caller: Caller, asked: BookingIn, machine: Machine, days: Days) -> Booking:
    value = asked.value if asked.value is not None else _by_rate(machine, days)
    new = NewBooking(
        machine, days.first, days.last, asked.customer, value, from_time=days.from_time,
        to_time=days.to_time, hours_a_day=asked.hours_a_day,
    )  # fmt: skip
    return _in_a_name(caller, partial(book_unless_blocked, new, decision_of(caller, asked.reason)))


def _book_of_class(caller: Caller, asked: BookingIn, days: Days, yard: Yard | None) -> Booking:
    """Book the first that may go; where somebody was quicker, the next."""
    machine_class = class_named(asked.class_)
    today = day_of_key(caller.key, yard, caller.now)
    among = machines_of_key(caller.key)
    answers = which_may(
        machine_class, days, today, among=among, yard=yard, hours_a_day=asked.hours_a_day
    )
    may = [one for one in answers if one.yes or one.after_work]
    said = f"{machine_class}: none of {len(answers)} may go out {days.said(today)}."
    for one in may[:TRIED]:
        try:
            return _book(caller, asked, one.machine, days)
        except Refusal as no:
            said = no.sentence
    raise Refusal(said, "class")


def _by_rate(machine: Machine, days: Days) -> Decimal | None:
    rate = machine.price_a_day
    return None if rate is None else rate * ((days.last - days.first).days + 1)


def move(caller: Caller, row: Booking, asked: BookingMove) -> Booking:
    """Change a booking: its last day like the counter's page of it, else as a correction."""
    given = asked.model_dump(exclude_unset=True, exclude={"reason"})
    given = {name: value for name, value in given.items() if value is not None}
    decision = decision_of(caller, asked.reason)
    if not given:
        return row
    if set(given) == {"last_day"}:
        last = day_written(given["last_day"], "last_day")
        return _in_a_name(caller, partial(prolong_unless_blocked, row, last, decision))
    right = _right(caller, row, given)
    return _in_a_name(caller, partial(correct_unless_blocked, row, right, decision))


def _right(caller: Caller, row: Booking, given: dict[str, Any]) -> BookingCorrection:
    """Return what the booking should say; other days are checked like those of a new one."""
    tag = given.get("machine")
    machine = machine_tagged(caller.key, tag) if tag else row.machine
    first, last = row.first_day, row.last_day
    if "first_day" in given or "last_day" in given:
        today = day_of_key(caller.key, machine.yard, caller.now)
        written = str(given.get("first_day", first)), str(given.get("last_day", last))
        days = days_written(*written, today)
        first, last = days.first, days.last
    customer, value = given.get("customer", row.customer), given.get("value", row.value)
    times = {
        name: time_written(given[name], name) if name in given else getattr(row, name)
        for name in ("from_time", "to_time")
    }
    hours = given.get("hours_a_day", row.hours_a_day)
    return BookingCorrection(machine, first, last, customer, value, hours_a_day=hours, **times)


def drop(caller: Caller, row: Booking, reason: str) -> Booking:
    """Call a booking off; twice is once."""
    return call_off(row, by=caller.key.answers, now=caller.now, why=reason)


def _in_a_name(caller: Caller, act: Callable[[], Booking]) -> Booking:
    """Do it; where a reason would be needed and there is no name for it, say so."""
    try:
        return act()
    except Refusal as no:
        if no.field == "reason" and caller.key.answers is None:
            raise Refusal(f"{no.sentence.partition('. ')[0]}. {NO_NAME}", no.field) from None
        raise
