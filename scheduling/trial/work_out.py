"""Work a trial out: load, change, solve beside the real plan, compare.  Nothing is written here."""

from dataclasses import dataclass, replace
from datetime import datetime

from fleet.models import Shop
from scheduling.core.planner import (
    InstanceError,
    Problem,
    Result,
    RunLimits,
    Watch,
    compare,
    read_problem,
    solve,
)
from scheduling.models import Plan, Trial
from scheduling.plan.search_stages import Telling
from scheduling.plan.shop_plan import CONTENT, WORKERS
from scheduling.plan.shop_problem import instance
from scheduling.trial.apply_changes import changed
from scheduling.trial.changes import Change
from scheduling.trial.differences import TrialOutcome, shown
from scheduling.trial.mend_plan import SECONDS as MEND_SECONDS
from scheduling.trial.mend_plan import SECONDS_AGAIN, mend_plan
from scheduling.trial.standing_plan import standing
from scheduling.trial.trial_result import Base, Worked, base_of, fault_of

SECONDS = 10.0
"""How long each search for a plan goes on at most."""

MOST_SECONDS = 60.0
"""How long it is searched in all while the answer is smaller than what the searches leave."""

LONGER = 2.0
"""How much longer each search is than the one before: what it proves, it proves from the start."""

LEAST_SECONDS = 1.0
"""Seconds below which searching on is not worth its start."""

CENT = 0.005
"""Money below which two plans cost the same."""


@dataclass
class Pair:
    """The plan without the change and the one with it, each for its own problem.

    They are searched alike: each starts from the other, so that what a search finds by chance on
    one side is not taken for the change's doing.
    """

    base: Problem
    changed: Problem
    before: Result
    after: Result

    @property
    def left_open(self) -> float:
        """Return the money by which either plan may still be above the best."""
        left = (one.total - one.bound for one in (self.before, self.after))
        return max(0.0, *left)

    @property
    def told(self) -> bool:
        """Tell whether the change costs or saves more than the searches leave open."""
        by = abs(self.after.total - self.before.total)
        return self.left_open < CENT or by > self.left_open

    def search_on(self, limits: RunLimits, tell: Telling) -> None:
        """Search both plans again, each from the other's places and its own."""
        self.before = _better(self.base, self.before, self.after, limits, tell)
        self.after = _better(self.changed, self.after, self.before, limits, tell)


def _better(
    problem: Problem, own: Result, other: Result, limits: RunLimits, tell: Telling
) -> Result:
    """Return the plan searched on from another's places; never a dearer one, nor a lower bound."""
    found = solve(problem, limits, tell, start=other.places())
    best = found if _rank(found) < _rank(own) else own
    return replace(best, bound=min(best.total, max(own.bound, found.bound)))


def _rank(result: Result) -> tuple[int, float]:
    """Return what makes a plan worse: limits that it does not keep, then money."""
    return len(result.clashes), result.total


def work_out(trial: Trial, changes: list[Change], now: datetime, tell: Telling) -> Worked:
    """Return what a trial comes to: the best plan with the changes, or the fewest moves."""
    if trial.kind == Trial.Kind.MEND:
        seconds = SECONDS_AGAIN if trial.round > 1 else MEND_SECONDS
        return mend_plan(trial.shop, changes, now, tell, seconds)
    return try_out(trial.shop, changes, now, tell)


def try_out(shop: Shop, changes: list[Change], now: datetime, tell: Telling) -> Worked:
    """Return the best plan with the changes, and how it differs from the plan without them.

    Where the facts have moved since the shop's plan was made, or its search was cut off by time,
    the plan without the change is searched for as well, so that only what the change does is shown
    as its doing.  Each of the two searches starts from the other's plan.
    """
    tell.stage("loading the shop")
    watch = Watch.start(_limits().clock, MOST_SECONDS)
    base = base_of(shop, now)
    facts = changed(base.facts, changes)
    try:
        problem = read_problem(instance(facts))
    except InstanceError as error:
        return Worked(base.marks, base.number, None, {"fault": fault_of(error)})
    before, anyway = _without(shop, base, tell)
    if problem == base.problem:
        # Such as an absence on a day off: nothing that the plan knows has changed.
        after = before
    else:
        tell.stage("the plan with the change")
        after = solve(problem, _limits(), tell, start=before.places())
    pair = Pair(base.problem, problem, before, after)
    if problem != base.problem:
        _search_until_told(pair, watch, tell)
    if pair.before is not before:
        stood = standing(base.facts, base.problem)
        anyway = _differing(stood, pair.before)
    difference = compare(base.problem, pair.before, problem, pair.after)
    left = 0.0 if problem == base.problem else pair.left_open
    outcome = TrialOutcome(changes, facts, pair.after, difference, {}, anyway, left)
    return Worked(base.marks, base.number, pair.after, shown(outcome))


def _without(shop: Shop, base: Base, tell: Telling) -> tuple[Result, int]:
    """Return the plan without the change, and how much stands elsewhere in it.

    That is the plan that stands, unless the facts have moved since it was made or its search was
    cut off by time.
    """
    stood = standing(base.facts, base.problem)
    plan = Plan.objects.filter(shop=shop, facts=base.marks).first()
    if plan is not None and plan.stopped != "time":
        return stood, 0
    tell.stage("the plan without the change")
    found = solve(base.problem, _limits(), tell, start=stood.places())
    # a plan of other facts may break what holds now, so its price says nothing
    if plan is None or found.total < stood.total - CENT:
        return found, _differing(stood, found)
    return replace(stood, bound=max(stood.bound, found.bound)), 0


def _search_until_told(pair: Pair, watch: Watch, tell: Telling) -> None:
    """Search on until the answer is larger than what is left open, or the watch is over."""
    seed, seconds = 0, SECONDS
    while not pair.told:
        seconds = min(LONGER * seconds, watch.left() / 2)
        if seconds < LEAST_SECONDS:
            return
        seed += 1
        tell.stage("cannot tell yet, searching on")
        pair.search_on(RunLimits(seconds=seconds, workers=WORKERS, seed=seed), tell)


def _limits() -> RunLimits:
    return RunLimits(seconds=SECONDS, workers=WORKERS, seed=0, gap=CONTENT)


def _differing(one: Result, other: Result) -> int:
    """Return how many pieces of work stand elsewhere, or wait in one plan alone."""
    before, after = one.places(), other.places()
    return sum(before.get(task) != after.get(task) for task in {*before, *after})
