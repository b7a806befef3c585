"""A shop's facts with a change: pure functions, values in, values out.

What a change does here, it does too once it is a fact and loaded again; a test holds the two
against each other.
"""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from functools import reduce, singledispatch

from scheduling.plan.decided import DecidedSpot
from scheduling.plan.horizon import Horizon
from scheduling.plan.rented import Out, Rented
from scheduling.plan.shelf import LATE_DAY, Arrival, Stock, by_day
from scheduling.plan.shop_problem import ShopFacts
from scheduling.plan.workers import Hand, Stint, workers_of
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


def changed(facts: ShopFacts, changes: Iterable[Change]) -> ShopFacts:
    """Return the facts with all changes; what lies outside the plan's days changes nothing."""
    return reduce(lambda so_far, change: with_change(change, so_far), changes, facts)


@singledispatch
def with_change(change: object, facts: ShopFacts) -> ShopFacts:
    """Return the facts with one change."""
    raise TypeError(f"{change!r:.60} is no change")


@with_change.register
def _(change: DayClosed, facts: ShopFacts) -> ShopFacts:
    day, horizon = facts.horizon.number(change.day), facts.horizon
    if not 0 <= day < horizon.days:
        return facts
    return _manned(
        facts,
        replace(
            horizon,
            open_hours=_with(horizon.open_hours, day, 0.0),
            closed_why=horizon.closed_why | {day: change.reason or "shut"},
            opened=horizon.opened - {day},
        ),
    )


@with_change.register
def _(change: DayOpened, facts: ShopFacts) -> ShopFacts:
    day, horizon = facts.horizon.number(change.day), facts.horizon
    if not 0 <= day < horizon.days:
        return facts
    return _manned(
        facts,
        replace(
            horizon,
            open_hours=_with(horizon.open_hours, day, change.hours),
            closed_why={n: why for n, why in horizon.closed_why.items() if n != day},
            opened=horizon.opened | {day},
        ),
    )


@with_change.register
def _(change: Away, facts: ShopFacts) -> ShopFacts:
    away = facts.crew.away
    days = away.get(change.person, set()) | set(_days(change, facts.horizon))
    crew = replace(facts.crew, away=away | {change.person: days})
    return _manned(replace(facts, crew=crew), facts.horizon)


@with_change.register
def _(change: HandLent, facts: ShopFacts) -> ShopFacts:
    """Add a loan; somebody from outside has no key and no user name yet, and gets a passing one."""
    crew, passing = facts.crew, -1 - len(facts.crew.stints)
    pk = change.person or passing
    people = crew.people
    if pk not in {hand.pk for hand in people}:
        hand = Hand(pk, change.username or f"hand {change.name}", change.name)
        people = tuple(sorted((*people, hand), key=lambda one: one.username))
    stint = Stint(pk, True, _days(change, facts.horizon), change.hours, set(change.skills))
    crew = replace(crew, people=people, stints=(*crew.stints, stint))
    return _manned(replace(facts, crew=crew), facts.horizon)


@with_change.register
def _(change: PartLate, facts: ShopFacts) -> ShopFacts:
    stock = facts.shelf.stock.get(change.part)
    if stock is None:
        return facts

    def number(day: date) -> int:
        return max(facts.horizon.number(day), LATE_DAY)

    latest = None if change.latest is None else number(change.latest)
    arrivals = list(stock.arrivals)
    if (old := Arrival(number(change.expected), change.quantity, latest)) in arrivals:
        arrivals.remove(old)
        arrivals.append(Arrival(number(change.day), change.quantity))
    return _with_stock(facts, replace(stock, arrivals=tuple(sorted(arrivals, key=by_day))))


@with_change.register
def _(change: PartGone, facts: ShopFacts) -> ShopFacts:
    stock = facts.shelf.stock.get(change.part)
    return facts if stock is None else _with_stock(facts, replace(stock, on_hand=change.left))


@with_change.register
def _(change: Booked, facts: ShopFacts) -> ShopFacts:
    machine = facts.machines.get(change.machine)
    if machine is None:
        return facts
    days = (change.last - change.first).days + 1
    first, last = facts.horizon.number(change.first), facts.horizon.number(change.last)
    value = change.value or machine.day_rate * days
    # no booking has that key yet; the tries on one machine are told apart by counting down
    key = min([0, *(out.pk for out in machine.outs)]) - 1
    return _with_outs(facts, machine, (*machine.outs, Out(key, first, last, value)))


@with_change.register
def _(change: BackLate, facts: ShopFacts) -> ShopFacts:
    machine = facts.machines.get(change.machine)
    if machine is None:
        return facts
    last = facts.horizon.number(change.day)
    rate = machine.day_rate
    outs = (_until(o, last, rate) if o.pk == change.booking else o for o in machine.outs)
    return _with_outs(facts, machine, tuple(outs))


@with_change.register
def _(change: Moved, facts: ShopFacts) -> ShopFacts:
    day, decided = facts.horizon.number(change.day), facts.decided
    pins = {key: spot for key, spot in decided.pins.items() if key != change.work_key}
    later = {key: when for key, when in decided.later.items() if key != change.work_key}
    if day < facts.horizon.days:
        pins[change.work_key] = DecidedSpot(day, change.mechanic)
    else:
        later[change.work_key] = change.day
    return replace(facts, decided=replace(decided, pins=pins, later=later))


@with_change.register
def _(change: TakesLonger, facts: ShopFacts) -> ShopFacts:
    return replace(
        facts,
        work=[
            replace(each, minutes=change.minutes) if each.key == change.work_key else each
            for each in facts.work
        ],
    )


@with_change.register
def _(change: MoreOvertime, facts: ShopFacts) -> ShopFacts:
    day, horizon = facts.horizon.number(change.day), facts.horizon
    rest = {n: hours for n, hours in horizon.more_overtime.items() if n != day}
    inside = 0 <= day < horizon.days and change.hours > 0
    more = rest | ({day: change.hours} if inside else {})
    return replace(facts, horizon=replace(horizon, more_overtime=more))


@with_change.register
def _(change: BayLost, facts: ShopFacts) -> ShopFacts:
    lost = dict.fromkeys(_days(change, facts.horizon), -change.bays)
    loaned = facts.horizon.loaned_bays
    more = {day: loaned.get(day, 0) + lost.get(day, 0) for day in {*loaned, *lost}}
    return replace(facts, horizon=replace(facts.horizon, loaned_bays=more))


@with_change.register
def _(change: BrokeDown, facts: ShopFacts) -> ShopFacts:
    """It is a fact already: its repair is among the work that was loaded."""
    return facts


def _with(hours: tuple[float, ...], day: int, value: float) -> tuple[float, ...]:
    return (*hours[:day], value, *hours[day + 1 :])


def _manned(facts: ShopFacts, horizon: Horizon) -> ShopFacts:
    """Return the facts with other days, and with the hours that the crew then works."""
    return replace(facts, horizon=horizon, workers=workers_of(facts.crew, horizon))


def _days(change: Away | HandLent | BayLost, horizon: Horizon) -> range:
    first, last = max(horizon.number(change.first), 0), horizon.number(change.last)
    return range(first, min(last + 1, horizon.days))


def _until(out: Out, last: int, rate: float) -> Out:
    """Return a booking with another last day; one without a value of its own is worth its days."""
    by_days = out.value == rate * (out.last - out.first + 1)
    value = rate * (last - out.first + 1) if by_days else out.value
    return replace(out, last=last, value=value)


def _with_stock(facts: ShopFacts, stock: Stock) -> ShopFacts:
    shelf = replace(facts.shelf, stock=facts.shelf.stock | {stock.pk: stock})
    return replace(facts, shelf=shelf)


def _with_outs(facts: ShopFacts, machine: Rented, outs: tuple[Out, ...]) -> ShopFacts:
    in_order = tuple(sorted(outs, key=lambda out: (out.first, out.pk)))
    machines = facts.machines | {machine.pk: replace(machine, outs=in_order)}
    return replace(facts, machines=machines)
