"""One yard's resources as arrays: mechanic-days, bays and stock.

Yards share neither mechanics nor stock, so a plan is the sum of its yards' plans.  Time is in
ticks (`ticks`), bays in halves, and arrays are indexed by day (H) and mechanic (W).
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from . import ticks
from .array_types import Floats, Ints
from .entities import Mechanic, Site
from .whole_problem import Problem


@dataclass(frozen=True, slots=True)
class Case:
    """The resources of one yard.

    `regular` and `longest` (H, W) are ticks without and with overtime, 0 when the yard is closed
    or the mechanic absent; `overtime` (W,) is money a tick; `bays` (H,) counts half bays;
    `stock` (P, H) is what may have been used by each day's end; `travel` (ticks) and
    `trip_cost` (S,) belong to the ranches.  `resort` is money that the whole plan cannot cost: the
    price, in the search alone, of a task that waits although it may not.
    """

    problem: Problem
    mechanics: tuple[Mechanic, ...]
    sites: tuple[Site, ...]
    parts: tuple[str, ...]
    scale: int
    regular: Ints
    longest: Ints
    overtime: Floats
    bays: Ints
    stock: Floats
    travel: Ints
    trip_cost: Floats
    resort: float

    @property
    def days(self) -> int:
        """Return the horizon in days."""
        return self.problem.horizon_days


def split_by_yard(problem: Problem) -> dict[str, Problem]:
    """Return one problem a yard, in the order of the yards."""
    yards = {
        key: replace(
            problem, yards={key: yard}, sites={}, mechanics={}, parts={}, machines={}, tasks={}
        )
        for key, yard in problem.yards.items()
    }
    for name in ("sites", "mechanics", "parts", "machines"):
        for row in getattr(problem, name).values():
            getattr(yards[row.yard], name)[row.id] = row
    for task in problem.tasks.values():
        yards[problem.machines[task.machine].yard].tasks[task.id] = task
    return yards


def case_of(problem: Problem) -> Case:
    """Return the arrays of a problem with exactly one yard, by day, in ticks and half bays."""
    (yard,) = problem.yards.values()
    mechanics, sites = tuple(problem.mechanics.values()), tuple(problem.sites.values())
    scale = ticks.ticks_per_hour(_durations(problem))
    regular, longest = _mechanic_days(problem, mechanics, scale)
    return Case(
        problem=problem,
        mechanics=mechanics,
        sites=sites,
        parts=tuple(problem.parts),
        scale=scale,
        regular=regular,
        longest=longest,
        overtime=np.array([m.overtime_cost_per_hour / scale for m in mechanics]),
        bays=np.array(
            # Halves, because a short visit takes a bay for half a day.
            [int(2 * yard.bays_on(d) + ticks.TOLERANCE) for d in range(problem.horizon_days)]
        ),
        stock=_stock(problem),
        travel=np.array([ticks.up(s.travel_hours, scale) for s in sites], dtype=np.int64),
        trip_cost=np.array([s.trip_cost for s in sites]),
        resort=_more_than_any_plan(problem),
    )


def _more_than_any_plan(problem: Problem) -> float:
    """Return money above the cost of every plan, however bad."""
    weights, days = problem.weights, problem.horizon_days
    last = days + weights.deferred_days
    setups = sum(s.cost for s in problem.setups.values())
    trip = max((s.trip_cost for s in problem.sites.values()), default=0.0)
    # Above 0 even where nothing costs anything, so that last resort is never free.
    money = 1.0
    for task in problem.tasks.values():
        machine = problem.machines[task.machine]
        # Further than this from its due date no task can be done: the tails reach a quarter of the
        # distance beyond p10 and p90, and twice the spread is more than that.
        apart = last + abs(task.due.p10) + abs(task.due.p90) + 2.0 * (task.due.p90 - task.due.p10)
        money += apart * (task.overdue_cost_per_day + task.waste_cost_per_day)
        stay = days if task.several_days else 1
        trips = stay + (task.second is not None)
        visit = machine.visit_cost + setups + stay * machine.day_rate
        money += (1.0 + weights.deferred_visit_share) * visit + trips * trip + weights.change_cost
    for machine in problem.machines.values():
        money += sum(b.value + weights.goodwill_cost for b in machine.bookings)
    for mechanic in problem.mechanics.values():
        overtime = sum(mechanic.overtime_on(day) for day in range(days))
        money += overtime * mechanic.overtime_cost_per_hour
    return money


def _durations(problem: Problem) -> Iterator[float]:
    for mechanic in problem.mechanics.values():
        yield from set(mechanic.hours)
        yield mechanic.overtime_limit_hours
        yield from set(mechanic.extra_overtime_hours)
    yield from (m.visit_hours for m in problem.machines.values())
    yield from (t.hours for t in problem.tasks.values())
    yield from (t.second.hours for t in problem.tasks.values() if t.second is not None)
    yield from (s.hours for s in problem.setups.values())
    yield from (s.travel_hours for s in problem.sites.values())


def _mechanic_days(
    problem: Problem, mechanics: tuple[Mechanic, ...], scale: int
) -> tuple[Ints, Ints]:
    (yard,) = problem.yards.values()
    shape = (problem.horizon_days, len(mechanics))
    regular, longest = np.zeros(shape, dtype=np.int64), np.zeros(shape, dtype=np.int64)
    for w, mechanic in enumerate(mechanics):
        for day, hours in enumerate(mechanic.hours):
            # Who is absent works no overtime either.
            if hours > 0 and day not in yard.closed_days:
                regular[day, w] = ticks.down(hours, scale)
                longest[day, w] = ticks.down(hours + mechanic.overtime_on(day), scale)
    return regular, longest


def _stock(problem: Problem) -> Floats:
    stock = np.zeros((len(problem.parts), problem.horizon_days))
    for p, part in enumerate(problem.parts.values()):
        stock[p] = part.on_hand
        for day, quantity in part.arrivals:
            if day < problem.horizon_days:
                # What arrived before today is on the shelf from day 0.
                stock[p, max(0, day) :] += quantity
    return stock
