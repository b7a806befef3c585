"""The planner's one entry: a problem and limits in, a plan with its price and bound out."""

from collections.abc import Callable

from .cost import blocked_bookings, last_days_in, price
from .entities import Spot
from .pool import plan_yards
from .problem import Problem
from .progress import Progress
from .result import Assignment, Result
from .watch import SPARE, Limits, Watch


def solve(
    problem: Problem, limits: Limits, progress: Callable[[Progress], None] | None = None
) -> Result:
    """Return the best plan found within the limits; `progress` is called now and then meanwhile.

    Yards share nothing and are planned apart.  The cost is priced from the places alone; the
    bound is the sum of the yards' proven bounds.  Raises nothing for a problem without tasks,
    mechanics or machines: what nobody can do is deferred, and a limit that cannot be kept is a
    clash in the result.
    """
    watch = Watch.start(limits.clock, limits.seconds)
    plans = plan_yards(problem, limits, watch.part(1.0 - SPARE), progress)
    places = {task: spot for plan in plans for task, spot in plan.places.items()}
    why = {task: text for plan in plans for task, text in plan.why.items()}
    cost, more = price(problem, places), _further(problem, places)
    total = sum(cost.values())
    stops = {plan.stopped for plan in plans} or {"optimal"}
    return Result(
        assignments=tuple(
            Assignment(task, spot.day, spot.mechanic or "", why.get(task, ""), *more.get(task, ()))
            for task, spot in ((task, places.get(task)) for task in problem.tasks)
            if spot is not None
        ),
        deferred=tuple(task for task in problem.tasks if task not in places),
        blocked_bookings=tuple(blocked_bookings(problem, places)),
        cost=cost,
        bound=min(total, sum(plan.bound for plan in plans)),
        seconds=watch.elapsed(),
        stopped=_stopped(stops),
        clashes=tuple(clash for plan in plans for clash in plan.clashes),
        fewest=all(plan.fewest for plan in plans),
    )


def _further(problem: Problem, places: dict[str, Spot]) -> dict[str, tuple[str | None, int | None]]:
    """Return second person and last day of the tasks that have either."""
    ends = last_days_in(problem, places)
    return {
        name: (spot.second if problem.tasks[name].second else None, ends.get(name))
        for name, spot in places.items()
        if spot.second or name in ends
    }


def _stopped(stops: set[str]) -> str:
    """Return the weakest of the yards' reasons to stop."""
    return next(word for word in ("time", "gap", "optimal") if word in stops)
