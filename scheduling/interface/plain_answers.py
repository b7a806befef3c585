"""The counter's answer for one machine, in the three words and the days of the interface."""

from dataclasses import dataclass
from datetime import date, timedelta

from scheduling.availability.answer import Availability
from scheduling.availability.objections import Objection
from scheduling.availability.refusal_words import say_objection

DAY = timedelta(days=1)


@dataclass(frozen=True)
class PlainReason:
    """What stands against it: its kind, its sentence, the last day on which it stands if known."""

    kind: str
    text: str
    until: date | None


@dataclass(frozen=True)
class PlainAnswer:
    """One machine: may, after_work or may_not; from which day, and back by when."""

    tag: str
    answer: str
    from_day: date | None
    back_by: date | None
    reasons: list[PlainReason]


def plain_answer(said: Availability) -> PlainAnswer:
    """Return an answer of the counter as the interface gives it."""
    reasons = [_reason(one, said.today) for one in said.objections]
    return PlainAnswer(said.machine.tag, _word(said), _from_day(said), said.back_by, reasons)


def _word(said: Availability) -> str:
    if said.yes:
        return "may"
    return "may_not" if said.final or said.needs_reason else "after_work"


def _from_day(said: Availability) -> date | None:
    """Return the first day on which it may go; None where that is not known."""
    if said.yes or not said.until:
        return said.days.first if said.yes else None
    return max(said.days.first, said.until + DAY)


def _reason(one: Objection, today: date) -> PlainReason:
    return PlainReason(str(one.cause), say_objection(one, today).head, one.until)
