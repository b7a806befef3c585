"""The counter's answer for one machine, in the three words and the days of the interface."""

from dataclasses import dataclass
from datetime import date

from scheduling.availability.answer import Availability
from scheduling.availability.three_answers import Reason


@dataclass(frozen=True)
class PlainAnswer:
    """One machine: may, after_work or may_not; from which day, and back by when."""

    tag: str
    answer: str
    from_day: date | None
    back_by: date | None
    reasons: list[Reason]


def plain_answer(said: Availability) -> PlainAnswer:
    """Return an answer of the counter as the interface gives it."""
    tag, kind = said.machine.tag, str(said.kind)
    return PlainAnswer(tag, kind, said.from_day, said.back_by, said.reasons)
