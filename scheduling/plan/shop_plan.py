"""Plan one shop: gather, solve, write; the same facts keep the plan that is there."""

from datetime import datetime
from time import perf_counter

from django.db import transaction

from fleet.models import Shop
from scheduling.core.planner import (
    Problem,
    Result,
    RunLimits,
    Spot,
    blocked_bookings,
    read_problem,
    solve,
)
from scheduling.due.booked_blocks import write_booked
from scheduling.facts.scope import Scope
from scheduling.models import Plan, PlannedJob, PlannedWork
from scheduling.plan.plan_words import missing
from scheduling.plan.plan_writing import write_plan
from scheduling.plan.report import PlanReport
from scheduling.plan.search_stages import Telling
from scheduling.plan.shop_problem import ShopFacts, digest, instance, load_shop
from scheduling.plan.unkept import cannot_keep

CONTENT = 0.005
"""Gap at which the search stops: what is left to gain is below what the prices are known to."""


ROUNDS = 3
"""How often a shop is planned again because somebody else wrote its plan meanwhile."""


class Overtaken(Exception):
    """Others wrote the shop's plan each time that this one was being made; try again later."""


def plan_shop(
    shop: Shop,
    now: datetime,
    seconds: float = 5.0,
    tell: Telling | None = None,
    *,
    go_on: bool = False,
) -> PlanReport:
    """Plan a shop's days from its due points, defects, bookings, people, parts and decisions.

    seconds: wall clock for the search; tell: hears how far it is.  go_on: where the facts
    are those of the plan that is there, and time cut its search off, search on from it.  The
    solving runs outside any transaction; the plan is written by its difference, and with it the
    blocks that follow from it.  A plan that another wrote meanwhile is not overwritten: the shop is
    planned again.
    """
    began = perf_counter()
    for _ in range(ROUNDS):
        report = _plan_once(shop, now, seconds, tell, go_on)
        if report is not None:
            break
    else:
        raise Overtaken(f"The plan of {shop} was written by others meanwhile.")
    with transaction.atomic():
        write_booked(Scope.of(shop.pk), now)
    report.seconds = round(perf_counter() - began, 3)
    return report


def _plan_once(
    shop: Shop, now: datetime, seconds: float, tell: Telling | None, go_on: bool
) -> PlanReport | None:
    """Plan a shop; None where another wrote its plan meanwhile."""
    number = plan_number(shop)
    facts = load_shop(shop, now)
    problem = instance(facts)
    marks = digest(problem, facts)
    kept = Plan.objects.filter(shop=shop, facts=marks, first_day=facts.horizon.first).first()
    cut_off = kept is not None and kept.stopped == "time" and go_on
    if kept is not None and not cut_off:
        return _kept(kept, facts, read_problem(problem))
    # one worker: the same facts then give the same plan where the search ends by proof
    # going on starts from where the work stands, with other chances than the search before
    limits = RunLimits(seconds=seconds, workers=1, seed=number if cut_off else 0, gap=CONTENT)
    read = read_problem(problem)
    result = solve(read, limits, tell)
    with transaction.atomic():
        lock_shop(shop)
        if plan_number(shop) != number:
            return None
        write_plan(facts, result, marks, now)
    report = _solved(result, facts)
    if kept is not None:
        report.saved = _saved(kept, result)
    return report


def _saved(kept: Plan, result: Result) -> float:
    """Return by how much a plan is cheaper than the one before it, on the same facts.

    The price of changing what people count on is left out: each is counted from another plan.
    """
    before = kept.total - kept.cost.get("change", 0.0)
    return round(max(0.0, before - (result.total - result.cost.get("change", 0.0))), 2)


def plan_number(shop: Shop) -> int:
    """Return how often the shop's plan was written; 0 where there is none."""
    return Plan.objects.filter(shop=shop).values_list("number", flat=True).first() or 0


def lock_shop(shop: Shop) -> None:
    """Hold the shop's row until the transaction ends, so that those who write its plan take turns.

    On SQLite the row lock is nothing and the transaction itself is the turn.
    """
    Shop.objects.select_for_update(no_key=True).get(pk=shop.pk)


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
