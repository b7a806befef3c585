"""Bookings at risk as the manager sees them: one entry a booking, its causes, what to do."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from fleet.models import Booking, Shop
from fleet.saying import say_date
from scheduling.models import Block, State
from scheduling.queries.bookings_at_risk import (
    Risk,
    StandsAgainst,
    bookings_to_come,
    risks_of,
)
from scheduling.queries.planned_for import day_of_work, planned_for
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
    given_up: by the plan.  decided: who let it go out anyway, and why.
    """

    booking: Booking
    blocks: Sequence[Block]
    said: Sequence[str]
    what_to_do: str
    in_time: bool = False
    given_up: bool = False
    decided: str = ""

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
    """Gather risks by booking, soonest first; three queries at most, however many."""
    by_booking: dict[int, list[Risk]] = {}
    for risk in risks:
        by_booking.setdefault(risk.booking.pk, []).append(risk)
    return _entries(list(by_booking.values()), today)


def _entries(grouped: Sequence[Sequence[Risk]], today: date) -> list[AtRisk]:
    together = [risk for own in grouped for risk in own]
    planned, said = _planned(together), said_blocks([r.block for r in together], today)
    return [_entry(own, said, planned, today) for own in grouped]


def risks_to_come(shop: Shop, today: date, within: timedelta) -> list[AtRisk]:
    """Return bookings at risk that begin after today, up to so many days ahead."""
    coming = bookings_to_come(shop, today, today + within)
    return at_risk(risks_of(coming, today), today)


def _planned(risks: Collection[Risk]) -> dict[StandsAgainst, date]:
    """Return the days after which the work of some risks is done; two queries."""
    planned = planned_for({risk.booking.machine_id for risk in risks})
    points = [(risk.work, risk.block.due_point) for risk in risks]
    days = {work: day_of_work(planned, point) for work, point in points if point}
    return {work: day for work, day in days.items() if day}


def _entry(
    risks: Sequence[Risk],
    said: dict[int, str],
    planned: dict[StandsAgainst, date],
    today: date,
) -> AtRisk:
    booking = risks[0].booking
    blocks = [risk.block for risk in risks]
    sentences = [said[block.pk] for block in blocks]
    in_time = all(_in_time(risk, planned) for risk in risks)
    return AtRisk(booking, blocks, sentences, what_to_do(booking, risks, planned, today), in_time)


def _in_time(risk: Risk, planned: dict[StandsAgainst, date]) -> bool:
    """Whether what stands against a booking is planned before its first day."""
    first, kind = risk.booking.first_day, risk.block.kind
    if kind in (Block.Kind.RETIRED, Block.Kind.HOLD):
        return False
    if kind == Block.Kind.FALLS_DUE and risk.block.works:
        return all(
            row["planned"] and row["planned"] < first.isoformat() for row in risk.block.works
        )
    day = planned.get(risk.work)
    return day is not None and day < first


def what_to_do(
    booking: Booking, risks: Sequence[Risk], planned: dict[StandsAgainst, date], today: date
) -> str:
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
    days = [planned.get(risk.work) for risk in risks]
    if all(day and day < booking.first_day for day in days):
        last = max(day for day in days if day)
        return f"All of it is planned before it goes out, the last {say_date(last, today)}."
    return "No shop day before it goes out: pin it to one, or give the customer another machine."
