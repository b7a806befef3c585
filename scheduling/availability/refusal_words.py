"""How a refusal is told: why, and until when."""

from collections.abc import Sequence
from datetime import date

from fleet.saying import counted, say_date
from scheduling.availability.objections import WORK, Cause, Objection

TOLD = 2
"""Reasons that are told in full; a customer is waiting."""

WITHOUT_END = {
    Cause.RETIRED: "For good",
    Cause.HELD: "Until it is released",
    Cause.OUT: "Until it is back",
    Cause.UNKNOWN: "Until that is known",
}


def capital(sentence: str) -> str:
    """Return a sentence with a capital at its head."""
    return sentence[:1].upper() + sentence[1:]


def say_why(objections: Sequence[Objection]) -> str:
    """Say the gravest reasons in full, and how many more there are."""
    told = [one.sentence for one in objections[:TOLD]]
    more = len(objections) - TOLD
    return "; ".join([*told, f"and {counted(more, 'more reason')}"] if more > 0 else told)


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
