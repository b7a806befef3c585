"""Bookings at risk as the manager sees them: one entry a booking, its causes, what to do."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from fleet.models import Booking, Shop
from fleet.saying import say_date
from scheduling.models import Block, State
from scheduling.queries.bookings_at_risk import Risk, bookings_to_come, risks_of, unsettled
from scheduling.queries.said_blocks import said_blocks

STATE_OF = {
    Block.Kind.RETIRED: State.HELD,
    Block.Kind.HOLD: State.HELD,
    Block.Kind.LIMIT: State.OVERDUE,
    Block.Kind.OVERDUE: State.OVERDUE,
    Block.Kind.IDLE: State.DUE,
    Block.Kind.FALLS_DUE: State.COMING_DUE,
}
"""The mark that stands beside a booking, by the gravest thing that stands against it."""


@dataclass(frozen=True)
class AtRisk:
    """One booking, what stands against it (gravest first), and what to do about it.

    said: the sentence of each block.  in_time: all of it is planned before the machine goes out.
    given_up: by the plan.  decided: who let it go out anyway, and why.  lacking: services that
    stand against it and are not planned before it goes out.
    """

    booking: Booking
    blocks: Sequence[Block]
    said: Sequence[str]
    what_to_do: str
    in_time: bool = False
    given_up: bool = False
    decided: str = ""
    lacking: frozenset[int] = frozenset()

    @property
    def state(self) -> str:
        """The state whose mark it carries: that of its service where the service is the cause."""
        if not self.blocks:
            return State.DUE
        worst = self.blocks[0]
        if worst.kind == Block.Kind.FALLS_DUE and worst.due_point:
            return worst.due_point.state
        return STATE_OF[Block.Kind(worst.kind)]

    @property
    def is_out(self) -> bool:
        """Whether the machine has left."""
        return bool(getattr(self.booking, "is_out", False))


def at_risk(risks: Iterable[Risk], today: date) -> list[AtRisk]:
    """Gather risks by booking, soonest first; one query at most, however many."""
    by_booking: dict[int, list[Risk]] = {}
    for risk in risks:
        by_booking.setdefault(risk.booking.pk, []).append(risk)
    return _entries(list(by_booking.values()), today)


def _entries(grouped: Sequence[Sequence[Risk]], today: date) -> list[AtRisk]:
    together = [risk for own in grouped for risk in own]
    said = said_blocks([risk.block for risk in together], today)
    return [_entry(own, said, today) for own in grouped]


def risks_to_come(shop: Shop, today: date, within: timedelta) -> list[AtRisk]:
    """Return bookings at risk that begin after today, up to so many days ahead.

    What the shop does before they go is none of what the desk has to know.
    """
    coming = bookings_to_come(shop, today, today + within)
    return at_risk(unsettled(risks_of(coming, today)), today)


def _entry(risks: Sequence[Risk], said: dict[int, str], today: date) -> AtRisk:
    booking = risks[0].booking
    blocks = [risk.block for risk in risks]
    sentences = [said[block.pk] for block in blocks]
    in_time = all(risk.settled for risk in risks)
    lacking = frozenset().union(*(risk.lacking for risk in risks))
    what = what_to_do(booking, risks, today)
    return AtRisk(booking, blocks, sentences, what, in_time, lacking=lacking)


def what_to_do(booking: Booking, risks: Sequence[Risk], today: date) -> str:
    """Say how the booking can be saved; a block that says so itself needs no more words."""
    if any(risk.block.kind == Block.Kind.RETIRED for risk in risks):
        return "Give the customer another machine, or call the booking off."
    if any(risk.block.kind == Block.Kind.HOLD for risk in risks):
        return "Fix and release it before it goes out, or give the customer another machine."
    said = [risk.block.kind == Block.Kind.FALLS_DUE for risk in risks]
    out = getattr(booking, "is_out", False)
    if all(said) or (out and any(said)):
        return ""
    if out:
        return "It is out: have it brought in, or swap the machine."
    if all(risk.settled for risk in risks):
        last = max(risk.until for risk in risks if risk.until)
        return f"All of it is planned before it goes out, the last {say_date(last, today)}."
    return "No shop day before it goes out: pin it to one, or give the customer another machine."
