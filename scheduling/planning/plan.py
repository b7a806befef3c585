"""Plan one shop: gather, solve, write; the same facts keep the plan that is there."""

from datetime import datetime
from time import perf_counter

from django.db import transaction

from fleet.models import Shop
from scheduling.core.planner import Limits, Problem, Result, solve
from scheduling.core.planner.cost import blocked_bookings
from scheduling.core.planner.entities import Spot
from scheduling.loading.scope import Scope
from scheduling.models import Plan, PlannedJob, PlannedWork
from scheduling.planning.problem import ShopFacts, digest, instance, load_shop
from scheduling.planning.report import PlanReport
from scheduling.planning.unkept import cannot_keep
from scheduling.planning.words import missing
from scheduling.planning.writing import write_plan
from scheduling.refreshing.booked import write_booked

CONTENT = 0.005
"""Gap at which the search stops: what is left to gain is below what the prices are known to."""


def plan_shop(shop: Shop, now: datetime, seconds: float = 5.0) -> PlanReport:
    """Plan a shop's days from its due points, defects, bookings, people, parts and decisions.

    seconds: wall clock for the search.  The solving runs outside any transaction; the plan is
    written by its difference, and with it the blocks that follow from it.
    """
    began = perf_counter()
    facts = load_shop(shop, now)
    problem = instance(facts)
    marks = digest(problem, facts)
    kept = Plan.objects.filter(shop=shop, facts=marks, first_day=facts.horizon.first).first()
    if kept is not None:
        report = _kept(kept, facts, Problem.from_dict(problem))
    else:
        # one worker: the same facts then give the same plan where the search ends by proof
        limits = Limits(seconds=seconds, workers=1, seed=0, gap=CONTENT)
        result = solve(Problem.from_dict(problem), limits)
        with transaction.atomic():
            write_plan(facts, result, marks, now)
        report = _solved(result, facts)
    with transaction.atomic():
        write_booked(Scope.of(shop.pk), now)
    report.seconds = round(perf_counter() - began, 3)
    return report


def _solved(result: Result, facts: ShopFacts) -> PlanReport:
    work = {spot.task: spot for spot in result.assignments}
    machine = {w.key: w.machine for w in facts.work}
    return PlanReport(
        jobs=len({(machine[key], spot.day) for key, spot in work.items()}),
        work=len(work),
        deferred=len(facts.work) - len(work),
        given_up=sorted(int(key) for key in result.blocked_bookings),
        cannot_keep=cannot_keep(result, facts),
        missing=missing(facts),
        total=round(result.total, 2),
        bound=round(result.bound, 2),
        gap=round(result.gap, 4),
        stopped=result.stopped,
    )


def _kept(plan: Plan, facts: ShopFacts, problem: Problem) -> PlanReport:
    work = PlannedWork.objects.filter(plan=plan)
    spots = {
        key: Spot(facts.horizon.number(day), None)
        for key, day in work.values_list("work_key", "job__day")
        if day is not None
    }
    planned = len(spots)
    return PlanReport(
        kept=True,
        given_up=sorted(int(key) for key in blocked_bookings(problem, spots)),
        jobs=PlannedJob.objects.filter(plan=plan).count(),
        work=planned,
        deferred=work.count() - planned,
        missing=[plan.missing] if plan.missing else missing(facts),
        total=plan.total,
        bound=plan.bound,
        gap=plan.gap,
        stopped=plan.stopped,
    )
