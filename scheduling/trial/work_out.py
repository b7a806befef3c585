"""Work a trial out: load, change, solve beside the real plan, compare.  Nothing is written here."""

from datetime import datetime

from fleet.models import Shop
from scheduling.core.planner import (
    InstanceError,
    Result,
    RunLimits,
    compare,
    read_problem,
    solve,
)
from scheduling.models import Plan, Trial
from scheduling.plan.search_stages import Telling
from scheduling.plan.shop_plan import CONTENT
from scheduling.plan.shop_problem import instance
from scheduling.trial.apply_changes import changed
from scheduling.trial.changes import Change
from scheduling.trial.differences import TrialOutcome, shown
from scheduling.trial.mend_plan import mend_plan
from scheduling.trial.standing_plan import standing
from scheduling.trial.trial_result import Worked, base_of, fault_of

SECONDS = 10.0
"""How long the search for the plan with the change goes on at most."""

CENT = 0.005
"""Money below which two plans cost the same."""


def work_out(trial: Trial, changes: list[Change], now: datetime, tell: Telling) -> Worked:
    """Return what a trial comes to: the best plan with the changes, or the fewest moves."""
    if trial.kind == Trial.Kind.MEND:
        return mend_plan(trial.shop, changes, now, tell)
    return try_out(trial.shop, changes, now, tell)


def try_out(shop: Shop, changes: list[Change], now: datetime, tell: Telling) -> Worked:
    """Return the best plan with the changes, and how it differs from the plan without them.

    Where the facts have moved since the shop's plan was made, or its search was cut off by time,
    the plan without the change is searched for as well, so that only what the change does is shown
    as its doing.
    """
    tell.stage("loading the shop")
    base = base_of(shop, now)
    facts = changed(base.facts, changes)
    try:
        problem = read_problem(instance(facts))
    except InstanceError as error:
        return Worked(base.marks, base.number, None, {"fault": fault_of(error)})
    stood = standing(base.facts, base.problem)
    before, anyway = stood, 0
    plan = Plan.objects.filter(shop=shop, facts=base.marks).first()
    if plan is None or plan.stopped == "time":
        tell.stage("the plan without the change")
        found = solve(base.problem, _limits(), tell)
        # a plan of other facts may break what holds now, so its price says nothing
        if plan is None or found.total < stood.total - CENT:
            before, anyway = found, _differing(stood, found)
    tell.stage("the plan with the change")
    after = solve(problem, _limits(), tell)
    difference = compare(base.problem, before, problem, after)
    left = max(before.total - before.bound, after.total - after.bound, 0.0)
    outcome = TrialOutcome(changes, facts, after, difference, {}, anyway, left)
    return Worked(base.marks, base.number, after, shown(outcome))


def _limits() -> RunLimits:
    # one worker: the same facts then give the same plan where the search ends by proof
    return RunLimits(seconds=SECONDS, workers=1, seed=0, gap=CONTENT)


def _differing(one: Result, other: Result) -> int:
    """Return how many pieces of work stand elsewhere, or wait in one plan alone."""
    before, after = one.places(), other.places()
    return sum(before.get(task) != after.get(task) for task in {*before, *after})
