"""What stands against a machine's going out, one function a cause, and what it should be sent with.

An objection is final when nobody at a counter can go against it: a hold, a hard limit, another
customer's promise, a machine that is not there.  Against the others a person may decide, with a
reason and a name on record.  One that work brings to an end before the machine goes out is neither:
the booking depends on that work (`done_before`).
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum

from fleet.models import Machine, Service
from scheduling.availability.counter_facts import CounterFacts, Days, StandingBooking
from scheduling.availability.time_to_work import can_be_planned
from scheduling.models import Block, DuePoint, State

DAY = timedelta(days=1)
MOMENT = timedelta(microseconds=1)


class Cause(StrEnum):
    """Why it may not go out, gravest first."""

    RETIRED = "retired"
    HELD = "held"
    LIMIT = "limit"
    OUT = "out"
    PROMISED = "promised"
    OVERDUE = "overdue"
    IDLE = "idle"
    DUE = "due"
    SHOP = "shop"
    UNKNOWN = "unknown"

    @property
    def word(self) -> str:
        """The word that stands beside a cause which is no state of the machine."""
        return {"shop": "in the shop", "out": "still out"}.get(self.value, self.value)


GRAVITY = list(Cause)
FINAL = {Cause.RETIRED, Cause.HELD, Cause.LIMIT, Cause.OUT, Cause.PROMISED}
WORK = {Cause.LIMIT, Cause.OVERDUE, Cause.IDLE, Cause.DUE}
"""Causes that are gone when the shop has done the work."""
PLANNED = WORK | {Cause.UNKNOWN}
"""Causes for which a time to do something about them is sought."""
OF_BLOCK = {
    Block.Kind.HOLD: Cause.HELD,
    Block.Kind.LIMIT: Cause.LIMIT,
    Block.Kind.OVERDUE: Cause.OVERDUE,
    Block.Kind.IDLE: Cause.IDLE,
}
"""Blocks that follow from the machine itself; those of bookings are asked of the due points."""


@dataclass(frozen=True)
class Objection:
    """One cause: what it is, and the last day on which it is expected to stand (None: not known).

    back_by: the last day by which the machine must be back for it not to matter.  What it is about
    is a block, a promise, a due point, or what is missing; day: the one on which it bars.
    done_before: it is gone before the machine goes out, if the shop does its work as planned, or
    plans it in the time that there is.
    """

    cause: Cause
    until: date | None = None
    hard: bool = False
    back_by: date | None = None
    day: date | None = None
    block: Block | None = None
    promise: StandingBooking | None = None
    point: DuePoint | None = None
    missing: str = ""
    done_before: bool = False

    @property
    def service(self) -> Service | None:
        """The service that it is about, where it is about one."""
        point = self.point or (self.block.due_point if self.block else None)
        return point.service if point else None

    def done(self) -> "Objection":
        """Return it with its work done before; built at one go, since a calendar asks for many."""
        return Objection(
            self.cause, self.until, self.hard, self.back_by, self.day, self.block, self.promise,
            self.point, self.missing, True,
        )  # fmt: skip

    @property
    def final(self) -> bool:
        """Whether nobody at a counter can go against it."""
        return not self.done_before and (self.hard or self.cause in FINAL)

    def settled_before(self, day: date) -> bool:
        """Tell whether the shop has planned its work for an earlier day."""
        return self.cause in WORK and self.until is not None and self.until < day


def objections(standing: CounterFacts, days: Days, today: date) -> list[Objection]:
    """Return all that stands against these days, gravest first."""
    found = [
        *_retired(standing, days, today),
        *_promised(standing, days, today),
        *_blocked(standing, days, today),
        *_hard_lines(standing, days, today),
        *_falls_due(standing, days, today),
        *_in_shop(standing, days, today),
        *_unknown(standing),
    ]
    ruled = [_ruled(one, standing, days, today) for one in found]
    return sorted(ruled, key=lambda one: (one.done_before, GRAVITY.index(one.cause)))


def _ruled(one: Objection, standing: CounterFacts, days: Days, today: date) -> Objection:
    """Tell whether the work that ends an objection is done before the machine goes out.

    Work that stood on a day that is past, and still stands against it, has no shop day any more.
    """
    if one.cause in WORK and one.until and one.until < today:
        one = replace(one, until=None)
    if one.settled_before(days.first):
        return one.done()
    if one.cause not in PLANNED:
        return one
    time = can_be_planned(standing, days.first, today, hard=one.hard)
    return one.done() if time else one


def _retired(standing: CounterFacts, days: Days, today: date) -> Iterator[Objection]:
    end = standing.machine.retired_on
    if end and end <= days.last:
        yield Objection(Cause.RETIRED, day=end)


def _promised(standing: CounterFacts, days: Days, today: date) -> Iterator[Objection]:
    if not standing.promises:
        return
    machine, moments = standing.machine, days.moments(standing.machine)
    for promise in standing.promises:
        if promise.is_late(today, machine, days.now) and days.first <= today:
            yield Objection(Cause.OUT, promise=promise)
        elif promise.takes(days, moments, today):
            yield Objection(Cause.PROMISED, _taken_until(promise, machine), promise=promise)


def _taken_until(promise: StandingBooking, machine: Machine) -> date:
    """Return the last day of a promise, or that on which it is ready again after it."""
    last, ends = promise.booking.last_day, promise.booking.ends_at
    return last if ends is None else max(last, (ends - MOMENT).astimezone(machine.yard.zone).date())


def _blocked(standing: CounterFacts, days: Days, today: date) -> Iterator[Objection]:
    for block in standing.blocks:
        cause = OF_BLOCK.get(Block.Kind(block.kind))
        if cause is None or not days.meet(block.first_day, block.last_day):
            continue
        if cause == Cause.HELD:
            yield Objection(cause, block.last_day, hard=True, block=block)
            continue
        hard = block.hard or cause == Cause.LIMIT
        until = _planned(standing, block.due_point_id)
        yield Objection(cause, until, hard, _back_by(block.first_day, days), block=block)


def _planned(standing: CounterFacts, due_point: int | None) -> date | None:
    """Return the shop day for which the work of a due point is planned, if any."""
    return standing.planned.get(due_point) if due_point is not None else None


def _back_by(barred: date, days: Days) -> date | None:
    """Return the day before it is barred, if it can be out at all before then."""
    return barred - DAY if barred - DAY >= days.first else None


def _spoken(standing: CounterFacts, days: Days) -> set[int | None]:
    """Return the due points for which a block speaks on these days."""
    return {
        block.due_point_id
        for block in standing.blocks
        if block.kind in OF_BLOCK and days.meet(block.first_day, block.last_day)
    }


def _hard_lines(standing: CounterFacts, days: Days, today: date) -> Iterator[Objection]:
    """Hard due points without a block: their last day by the calendar, or the early day, bars."""
    told = {block.due_point_id for block in standing.blocks if block.hard}
    for point in standing.due_points:
        if not point.hard or point.pk in told:
            continue
        barred = point.closes_day + DAY if point.closes_day else point.p10
        if barred and barred <= days.last:
            until, back_by = _planned(standing, point.pk), _back_by(barred, days)
            yield Objection(Cause.LIMIT, until, True, back_by, barred, point=point)


def _falls_due(standing: CounterFacts, days: Days, today: date) -> Iterator[Objection]:
    """A service that is due, or most likely will be, before the machine is back."""
    spoken = _spoken(standing, days)
    for point in standing.due_points:
        day = point.p50
        if day is None and point.state in (State.DUE, State.OVERDUE):
            day = today
        bars = point.hard or point.service.blocks_rental
        if not bars or day is None or point.pk in spoken:
            continue
        if day.toordinal() > standing.use.usual_day(point, days.first, days.last):
            continue
        day = standing.use.day_reached(point, day, days.first)
        until, back_by = _planned(standing, point.pk), _back_by(day, days)
        yield Objection(Cause.DUE, until, back_by=back_by, day=day, point=point)


def _in_shop(standing: CounterFacts, days: Days, today: date) -> Iterator[Objection]:
    """A day in the shop that is too near for the plan to give way."""
    firm = today + standing.frozen_days * DAY
    for block in shop_days(standing.blocks, days):
        if block.first_day <= firm:
            yield Objection(Cause.SHOP, block.first_day, day=block.first_day, block=block)


def shop_days(blocks: Iterable[Block], days: Days) -> list[Block]:
    """Return the planned days in the shop among these days."""
    return [
        block for block in blocks
        if block.kind == Block.Kind.IN_SHOP and days.meet(block.first_day, block.last_day)
    ]  # fmt: skip


def _unknown(standing: CounterFacts) -> Iterator[Objection]:
    """A machine of which nothing is known: its meter is read, or its services set up, first."""
    state = standing.state
    if state and state.state != State.UNKNOWN:
        return
    yield Objection(Cause.UNKNOWN, missing=state.missing if state else "")
