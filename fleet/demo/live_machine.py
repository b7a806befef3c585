"""One machine lived through: booked, used, read and served over a span of days."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from fleet.demo import daily_use, meter_looks, simulated_meters
from fleet.demo.hire_seasons import SimulatedHire, draw_hires, draw_jobs
from fleet.demo.roster import Unit
from fleet.demo.scenario import HirePattern
from fleet.demo.shopwork import Course, Done, PastRecords, SimulatedVisit, serve
from fleet.demo.simulated_meters import SimulatedMeter

BOOKED_AHEAD = 75
"""Days ahead of today into which bookings reach."""


@dataclass(frozen=True)
class World:
    """What is the same for every machine of a shop: the days lived through, rules, open days."""

    first: int
    today: int
    seed: int
    covers: Mapping[str, set[str]]
    rules: Mapping[str, list[dict[str, Any]]]
    rounds: Mapping[str, Mapping[str, Any]]
    closed: frozenset[int]
    duty: Mapping[str, float]

    @property
    def span(self) -> range:
        """Days lived through: up to yesterday."""
        return range(self.first, self.today)

    @property
    def days(self) -> np.ndarray:
        """The same, as an array."""
        return np.arange(self.first, self.today)


@dataclass(frozen=True)
class StartingPoint:
    """Where a machine stands as the span begins."""

    started: int
    lives: Mapping[str, float]
    done: Mapping[str, Sequence[Done]]
    dials: Mapping[str, list[SimulatedMeter]]
    hires: tuple[SimulatedHire, ...] = ()
    paces: Mapping[str, float] = field(default_factory=dict)
    factor: float = 1.0
    booked_to: int | None = None
    """Day up to which bookings were made already; None: none was."""
    away: tuple[SimulatedHire, ...] = ()
    """Days on which it will be stored: nobody can have it."""
    act_from: int = 0
    """Day from which anything may happen; before it the machine is used and no more."""


@dataclass
class SimulatedPast:
    """What happened to one machine: all of it becomes facts."""

    unit: Unit
    standing: StartingPoint
    course: Course
    hires: list[SimulatedHire]
    visits: list[SimulatedVisit]
    looks: list[meter_looks.MeterLook]
    dials: dict[str, list[SimulatedMeter]]

    def life(self, kind: str, day: int, minute: int) -> float:
        """Total use at a moment of the span."""
        return simulated_meters.life_at(
            self.course.lives, kind, int(self.course.days[0]), day, minute
        )


def _hires(
    rng: np.random.Generator, unit: Unit, world: World, standing: StartingPoint
) -> list[SimulatedHire]:
    """Known hires, and new ones among them, as far ahead as customers book."""
    first = max(world.first, standing.started + 1)
    span = (first, world.today + BOOKED_AHEAD)
    pattern = unit.slot.pattern
    draw = draw_hires if isinstance(pattern, HirePattern) else draw_jobs
    new = draw(rng, pattern, span, [*standing.hires, *standing.away])  # type: ignore[arg-type]
    if standing.booked_to is None:
        known = [hire for hire in new if min(hire.first, hire.made) < world.today]
    else:  # what customers decided before is among the known hires already
        known = [
            hire
            for hire in new
            if standing.booked_to <= hire.made < world.today and hire.first >= standing.act_from
        ]
    return sorted([*standing.hires, *known], key=lambda hire: hire.first)


def _lives(
    rng: np.random.Generator,
    unit: Unit,
    world: World,
    standing: StartingPoint,
    hires: Sequence[SimulatedHire],
) -> dict[str, np.ndarray]:
    """Kind -> total use at the start of each day, one more than days."""
    pattern, days = unit.slot.pattern, world.days
    pace = standing.paces[pattern.kind]
    if isinstance(pattern, HirePattern):
        used = {pattern.kind: daily_use.hire_use(rng, pattern, days, hires, pace)}
    else:
        used = {pattern.kind: daily_use.ranch_use(rng, pattern, days, pace)}
    used[pattern.kind][days < standing.started] = 0
    for also in pattern.also:
        used[also.kind] = daily_use.also_use(
            rng, also, used[pattern.kind], standing.paces[also.kind]
        )
    return {
        kind: standing.lives[kind] + np.concatenate([[0.0], np.cumsum(amount)])
        for kind, amount in used.items()
    }


def _free(world: World, hires: Sequence[SimulatedHire], standing: StartingPoint) -> np.ndarray:
    """Days on which the shop is open and the machine is in."""
    days = world.days
    free = ~np.isin(days, list(world.closed)) & ((days - 1) % 7 < 6) & (days > standing.started)
    free &= days >= standing.act_from
    for hire in hires:
        if not hire.job:  # the mechanic drives to the ranch, at work or not
            free[(days >= hire.first) & (days <= hire.last)] = False
    return free


def _looks(
    rng: np.random.Generator,
    unit: Unit,
    world: World,
    hires: list[SimulatedHire],
    visits: list[SimulatedVisit],
) -> list[meter_looks.MeterLook]:
    rule = world.rounds[unit.slot.yard]
    found = [
        *meter_looks.counter_looks(rng, hires, world.span),
        *meter_looks.bench_looks(rng, visits),
        *meter_looks.round_looks(rng, rule, hires, world.span, unit.slot.on_ranch),
    ]
    return sorted(found)


def _dials(
    unit: Unit, world: World, standing: StartingPoint, course: Course
) -> dict[str, list[SimulatedMeter]]:
    """The dials of each kind, with those that rolled over in the span."""
    limits = {m["kind"]: m.get("rolls_over_at") for m in unit.slot.make_up["meters"]}
    result = {}
    for kind, known in standing.dials.items():
        *past, current = known
        turned = [current]
        if limits.get(kind):
            turned = simulated_meters.roll_over(
                current, limits[kind], world.days, course.lives[kind]
            )
        result[kind] = [*past, *turned]
    return result


def live(
    rng: np.random.Generator, unit: Unit, world: World, standing: StartingPoint
) -> SimulatedPast:
    """Live a machine through the world's days: hires, use, service, readings."""
    hires = _hires(rng, unit, world, standing)
    lives = _lives(rng, unit, world, standing, hires)
    course = Course(world.days, lives, _free(world, hires, standing))
    start = Done(standing.started, dict.fromkeys(lives, 0.0))
    book = PastRecords(standing.done, start, world.covers, standing.factor, standing.act_from)
    rules = world.rules[unit.slot.make_up["rules"]]
    visits = serve(rng, rules, course, book)
    begin = max(standing.started, standing.act_from)
    seen = [look for look in _looks(rng, unit, world, hires, visits) if look.day >= begin]
    return SimulatedPast(
        unit, standing, course, hires, visits, seen, _dials(unit, world, standing, course)
    )


def without_visits(history: SimulatedPast, since: int) -> SimulatedPast:
    """The same machine, had the shop not touched it since a day."""
    kept = [visit for visit in history.visits if visit.day < since]
    seen = [look for look in history.looks if look.source != "bench" or look.of < len(kept)]
    return replace(history, visits=kept, looks=seen)


def with_hires(history: SimulatedPast, keep: Callable[[SimulatedHire], bool]) -> SimulatedPast:
    """The same machine with some of its hires alone, and the looks that belong to them."""
    number: dict[int, int] = {}
    for n, hire in enumerate(history.hires):
        if keep(hire):
            number[n] = len(number)
    seen = [
        replace(look, of=number[look.of]) if look.source == "counter" else look
        for look in history.looks
        if look.source != "counter" or look.of in number
    ]
    return replace(history, hires=[history.hires[n] for n in number], looks=seen)
