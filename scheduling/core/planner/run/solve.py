"""The planner's one entry: a problem and limits in, a plan with its price and bound out."""

from collections.abc import Callable, Mapping
from dataclasses import replace

from scheduling.core.planner.answer import Assignment, PlaceReason, Result, cost_counts
from scheduling.core.planner.control import SPARE, RunLimits, RunProgress, Watch
from scheduling.core.planner.plan import blocked_bookings, last_days_in, price
from scheduling.core.planner.problem import Problem, Spot

from .pool import plan_yards


def solve(
    problem: Problem,
    limits: RunLimits,
    progress: Callable[[RunProgress], None] | None = None,
    start: Mapping[str, Spot] | None = None,
) -> Result:
    """Return the best plan found within the seconds of the limits.

    `progress` is called now and then meanwhile.  `start` are places of a plan to go on from: what
    is found costs no more, as far as those places can stand.  Yards share nothing and are planned
    apart.  The cost is priced from the places alone; the bound is the sum of the yards' proven
    bounds.  Raises nothing for a problem without tasks, mechanics or machines: what nobody can do
    is deferred, and a limit that cannot be kept is a clash in the result.
    """
    watch = Watch.start(limits.clock, limits.seconds)
    plans = plan_yards(problem, limits, watch.part(1.0 - SPARE), progress, start)
    places = {task: spot for plan in plans for task, spot in plan.places.items()}
    reasons = {task: reason for plan in plans for task, reason in plan.reasons.items()}
    cost = price(problem, places)
    total = sum(cost.values())
    stops = {plan.stopped for plan in plans} or {"optimal"}
    return Result(
        assignments=assignments(problem, places, reasons),
        deferred=tuple(task for task in problem.tasks if task not in places),
        blocked_bookings=tuple(blocked_bookings(problem, places)),
        cost=cost,
        # Sums of rounded figures may cross by a hair where a plan is proven best.
        bound=min(total, sum(plan.bound for plan in plans)),
        seconds=watch.elapsed(),
        stopped=_stopped(stops),
        clashes=tuple(clash for plan in plans for clash in plan.clashes),
        fewest=all(plan.fewest for plan in plans),
        deferred_reasons={t: r for t, r in reasons.items() if t not in places},
        counts=cost_counts(problem, places),
        weeks=tuple(week for plan in plans for week in plan.weeks),
    )


def assignments(
    problem: Problem, places: dict[str, Spot], reasons: Mapping[str, PlaceReason]
) -> tuple[Assignment, ...]:
    """Return where the planned tasks stand, each with its reason, if there was time for one."""
    ends, found = last_days_in(problem, places), []
    for task in problem.tasks.values():
        spot, reason = places.get(task.id), reasons.get(task.id)
        if spot is not None:
            second = spot.second if task.second else None
            placed = Assignment(task.id, spot.day, spot.mechanic or "", second)
            found.append(replace(placed, last_day=ends.get(task.id), reason=reason))
    return tuple(found)


def _stopped(stops: set[str]) -> str:
    """Return the weakest of the yards' reasons to stop."""
    return next(word for word in ("time", "gap", "optimal") if word in stops)
