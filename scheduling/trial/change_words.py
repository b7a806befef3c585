"""Changes, and what follows from them, as people say it."""

from datetime import date
from functools import singledispatch

from fleet.saying import Clause, counted, joined, say_minutes, say_span, short_date
from scheduling.trial.changes import (
    Away,
    BackLate,
    BayLost,
    Booked,
    BrokeDown,
    Change,
    DayClosed,
    DayOpened,
    HandLent,
    MoreOvertime,
    Moved,
    PartGone,
    PartLate,
    TakesLonger,
)


@singledispatch
def say_change(change: object, today: date) -> str:
    """Return a change as a phrase that can follow "with": the shop closed on Thu 3 Dec."""
    raise TypeError(f"{change!r:.60} is no change")


@say_change.register
def _(change: DayClosed, today: date) -> str:
    return f"the shop closed on {short_date(change.day, today)}"


@say_change.register
def _(change: DayOpened, today: date) -> str:
    return f"the shop open for {change.hours:g} h on {short_date(change.day, today)}"


@say_change.register
def _(change: Away, today: date) -> str:
    return f"{change.name} away {_span(change.first, change.last, today)}"


@say_change.register
def _(change: HandLent, today: date) -> str:
    skills = f" ({', '.join(change.skills)})" if change.skills else ""
    days = _span(change.first, change.last, today)
    return f"{change.name}{skills} lent {days}, {change.hours:g} h a day"


@say_change.register
def _(change: PartLate, today: date) -> str:
    return f"{change.name} coming on {short_date(change.day, today)}"


@say_change.register
def _(change: PartGone, today: date) -> str:
    if change.left > 0:
        return f"only {change.left:g} of {change.name} on the shelf"
    return f"no {change.name} on the shelf"


@say_change.register
def _(change: Booked, today: date) -> str:
    return f"{change.tag} booked {_span(change.first, change.last, today)} for {change.customer}"


@say_change.register
def _(change: BackLate, today: date) -> str:
    return f"{change.tag} out until {short_date(change.day, today)}"


@say_change.register
def _(change: Moved, today: date) -> str:
    return f"{change.title} of {change.tag} moved to {short_date(change.day, today)}"


@say_change.register
def _(change: TakesLonger, today: date) -> str:
    return f"{change.title} of {change.tag} taking {say_minutes(change.minutes)}"


@say_change.register
def _(change: MoreOvertime, today: date) -> str:
    return f"{change.hours:g} h more overtime each on {short_date(change.day, today)}"


@say_change.register
def _(change: BayLost, today: date) -> str:
    return f"{counted(change.bays, 'bay')} lost {_span(change.first, change.last, today)}"


@say_change.register
def _(change: BrokeDown, today: date) -> str:
    return f"{change.tag} broken down"


NAMES_FIRST = (BrokeDown, Away, HandLent, PartLate, Booked, BackLate, Moved, TakesLonger)
"""Changes whose phrase begins with a name, which is never changed."""


def headed(change: Change, today: date) -> str:
    """Return a change as it stands alone: with a capital, but for a name that has none."""
    return Clause(say_change(change, today), isinstance(change, NAMES_FIRST)).head


def _span(first: date, last: date, today: date) -> str:
    return f"{'on ' if first == last else ''}{say_span(first, last, today)}"


def say_changes(changes: list[Change], today: date) -> str:
    """Return all changes of a trial as one phrase."""
    return joined([say_change(each, today) for each in changes])


def say_outcome(moved: int, waiting: int, lost: int, saved: int) -> str:
    """Say what a change does to the work and the bookings."""
    parts = [f"{counted(moved, 'piece')} of work {'moves' if moved == 1 else 'move'}"]
    if not moved:
        parts = ["no work moves"]
    if waiting:
        parts.append(f"{counted(waiting, 'piece')} more {_be(waiting)} put beyond the plan")
    if lost:
        parts.append(f"{counted(lost, 'booking')} {_be(lost)} lost")
    if saved:
        parts.append(f"{counted(saved, 'booking')} {_be(saved)} saved")
    return joined(parts)


def _be(number: int) -> str:
    return "is" if number == 1 else "are"


def say_money_change(by: float, money: str) -> str:
    """Say by how much the plan becomes dearer or cheaper; money: the size of it, as shown."""
    if abs(by) < 0.005:
        return "the plan costs the same"
    return f"the plan costs {money} {'more' if by > 0 else 'less'}"
