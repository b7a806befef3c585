"""How a refusal is told: why, and until when."""

from collections.abc import Sequence
from datetime import date

from fleet.saying import Clause, counted, say_date, short_date
from scheduling.availability.counter_facts import Days, StandingBooking
from scheduling.availability.objections import DAY, WORK, Cause, Objection
from scheduling.due.block_words import bar_words
from scheduling.due.due_words import may_be_due
from scheduling.due.sentences import meter_word
from scheduling.models import DuePoint

TOLD = 2
"""Reasons that are told in full; a customer is waiting."""

LIFTED_BY = {
    Cause.HELD: "It is lifted by a person who may release the hold.",
    Cause.LIMIT: "It is lifted by the inspection, and by nothing else.",
    Cause.OUT: "It is lifted by its return.",
    Cause.UNKNOWN: "It is lifted by a reading, or by its services being set up.",
}
"""Who or what brings an end to what nobody at a counter decides."""

WITHOUT_END = {
    Cause.RETIRED: "For good",
    Cause.HELD: "Until it is released",
    Cause.OUT: "Until it is back",
    Cause.UNKNOWN: "Until that is known",
}


def say_objection(one: Objection, today: date) -> Clause:
    """Say one thing that stands against it, as a part of a sentence."""
    if one.promise:
        return Clause(_promise(one.promise, one.cause, today))
    if one.point:
        return Clause(f"{one.point.service} {_due(one.point, one, today)}", name_first=True)
    if one.cause == Cause.SHOP and one.day:
        return Clause(f"it is to be in the shop {short_date(one.day, today)}")
    if one.block:
        return bar_words(one.block, today)
    if one.cause == Cause.RETIRED and one.day:
        return Clause(f"it is retired from {short_date(one.day, today)}")
    missing = one.missing or "no reading: read the meter first"
    return Clause(f"it is not known whether a service is due ({missing})")


def _promise(promise: StandingBooking, cause: Cause, today: date) -> str:
    booking = promise.booking
    if cause == Cause.OUT:
        back = say_date(booking.last_day, today)
        return f"it is still out with {booking.customer} and was due back {back}"
    if promise.is_back:
        zone = booking.machine.yard.zone
        ready = booking.ends_at.astimezone(zone)
        return f"it is back from {booking.customer} and made ready until {ready:%H:%M}"
    verb = "out with" if promise.is_out else "booked for"
    days = Days(
        booking.first_day, booking.last_day, from_time=booking.from_time, to_time=booking.to_time
    )
    return f"it is {verb} {booking.customer} {days.said(today)}"


def _due(point: DuePoint, one: Objection, today: date) -> str:
    day = one.day or today
    if one.cause == Cause.LIMIT:
        by = f"may reach its hard limit by {short_date(day, today)}"
        return "is past its hard limit" if day <= today else by
    if may_be_due(point, today):
        return f"may already be due: read the {meter_word(point.meter_kind)}"
    return "is due now" if day <= today else f"is most likely due {say_date(day, today)}"


def say_work(one: Objection, first_day: date, today: date) -> Clause:
    """Say work that is done before a first day out, and when: a part of a sentence."""
    what = say_objection(one, today)
    if one.settled_before(first_day) and one.until:
        when = f"planned for {short_date(one.until, today)}"
    elif one.cause == Cause.UNKNOWN:
        when = f"to be found out by {short_date(first_day - DAY, today)}"
    elif one.until:
        planned, by = short_date(one.until, today), short_date(first_day - DAY, today)
        when = f"planned for {planned}, to be moved to {by} or before"
    else:
        when = f"to be planned by {short_date(first_day - DAY, today)}"
    return Clause(f"{what.words}; {when}", what.name_first)


def say_why(objections: Sequence[Objection], today: date) -> Clause:
    """Say the gravest reasons in full, and how many more there are."""
    told = [say_objection(one, today) for one in objections[:TOLD]]
    more = len(objections) - TOLD
    rest = [f"and {counted(more, 'more reason')}"] if more > 0 else []
    words = "; ".join([*(one.words for one in told), *rest])
    return Clause(words, name_first=bool(told) and told[0].name_first)


def say_until(objections: Sequence[Objection], today: date) -> str:
    """Say until when all of it stands, as far as that is known."""
    endless = [one for one in objections if one.until is None]
    if endless:
        if endless[0].cause in WORK:
            return "Until the work is done; no shop day is planned for it yet"
        return WITHOUT_END.get(endless[0].cause, "Until further notice")
    last = max(objections, key=lambda one: one.until or today, default=None)
    if last is None or last.until is None:
        return ""
    day = say_date(last.until, today)
    return f"Until the work is done, planned for {day}" if last.cause in WORK else f"Until {day}"
