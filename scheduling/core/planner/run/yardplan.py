"""Plan one yard: settle what must be kept, search, and explain.

If some limits cannot all be kept, the fewest that must be given up are released, the yard is
planned without them, and each is reported as a clash.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from scheduling.core.planner.answer import Bottleneck, Clash, PlaceReason
from scheduling.core.planner.bound import ShadowPrices, shadow_prices_of
from scheduling.core.planner.control import Reporter, RunLimits, Stage, Tell, Watch, silent
from scheduling.core.planner.explain import bottlenecks, clashes_of, explain, with_relaxations
from scheduling.core.planner.plan import completed, placed_plan
from scheduling.core.planner.problem import Problem, Spot
from scheduling.core.planner.search import Effort, Search, keep_most

# A rough cost of one reason; on which machine it was measured is not recorded.
SECONDS_TO_EXPLAIN = 0.003
"""Wall-clock seconds kept back for each task's reason."""

MOST_TO_EXPLAIN = 0.2
"""Largest share of a yard's time kept back for reasons."""

WORK_TO_KEEP = 20.0
"""Deterministic time that the question which limits can be kept may take."""


@dataclass(frozen=True, slots=True)
class YardJob:
    """A problem with exactly one yard, and its own limits: seconds from now, threads, seed.

    `start` are places of a plan to go on from.
    """

    problem: Problem
    limits: RunLimits
    start: Mapping[str, Spot] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class YardPlan:
    """Where a yard's tasks stand, why, or why they wait; its money; how the search ended.

    `cost` and the proven `bound` are money; `shadow` tells what more hours and bays would save, if
    the bound got that far, and `weeks` what each week is short of.
    """

    places: dict[str, Spot]
    reasons: dict[str, PlaceReason]
    cost: float
    bound: float
    stopped: str
    clashes: tuple[Clash, ...] = ()
    fewest: bool = True
    shadow: ShadowPrices | None = None
    weeks: tuple[Bottleneck, ...] = ()


def plan_yard(job: YardJob, watch: Watch, tell: Tell = silent) -> YardPlan:
    """Return the best plan found for one yard within the seconds of `watch`.

    `tell` hears of the way.
    """
    reserve = min(MOST_TO_EXPLAIN * watch.left(), SECONDS_TO_EXPLAIN * len(job.problem.tasks))
    inner = replace(watch, deadline=watch.deadline - reserve)
    reporter = Reporter(watch, tell)
    search = Search(job.problem, job.limits, inner, reporter)
    search.first_plans(job.start)
    clashes: tuple[Clash, ...] = ()
    fewest = True
    # Only then may a limit be impossible; a quick plan that keeps all settles the question.
    if search.best.unkept():
        seconds = max(0.1, 0.5 * inner.left())
        # one worker: with several the solver keeps now these limits and now those
        effort = Effort(WORK_TO_KEEP, seconds, 1, job.limits.seed)
        kept = keep_most(search.case, effort)
        clashes, fewest = clashes_of(search.case, kept), kept.proven
        # Without their limits these tasks are planned like all others: as well as can be, though
        # late.
        if kept.unkept:
            freed = job.problem.released(frozenset(kept.unkept))
            search = Search(freed, job.limits, inner, reporter, search.machines)
        search.offer(completed(placed_plan(search.case, search.machines, kept.places)))
        if kept.unkept:
            search.first_plans(job.start)
    search.run()
    search.say(Stage.EXPLAINING)
    # No longer than was asked for: where the first plans took all of it, there are no reasons.
    late = Watch.start(watch.clock, watch.left())
    shadow = shadow_prices_of(search.bound) if search.bound and not watch.over() else None
    places = search.best.places()
    return YardPlan(
        places=places,
        reasons=explain(search.best, late, shadow),
        cost=search.best.total(),
        bound=max(0.0, search.proven),
        stopped=search.stopped(),
        clashes=with_relaxations(search.best, job.problem, clashes, late),
        fewest=fewest,
        shadow=shadow,
        weeks=bottlenecks(job.problem, places, shadow),
    )
