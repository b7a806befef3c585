"""Plan one shop: gather, solve, write; the same facts keep the plan that is there."""

import os
from dataclasses import replace
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


WORKERS = min(2, os.cpu_count() or 1)
"""Cores that a search uses: one proves while the other looks for better plans."""

CENT = 0.01
"""Money to which a plan's price and bound are kept."""

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
    go_on: float = 0.0,
    a_piece: float = 0.0,
) -> PlanReport:
    """Plan a shop's days from its due points, defects, bookings, people, parts and decisions.

    seconds: wall clock for the search, `a_piece` of them more for each piece of work; tell: hears
    how far it is.  go_on: where the facts are those of the plan that is there, and time cut its
    search off, search on from it for so many seconds; 0: leave it.  The solving runs outside any
    transaction; the plan is written by its difference, and with it the blocks that follow from it.
    A plan that another wrote meanwhile is not overwritten: the shop is planned again.
    """
    began = perf_counter()
    for _ in range(ROUNDS):
        report = _plan_once(shop, now, (seconds, a_piece, go_on), tell)
        if report is not None:
            break
    else:
        raise Overtaken(f"The plan of {shop} was written by others meanwhile.")
    with transaction.atomic():
        write_booked(Scope.of(shop.pk), now)
    report.seconds = round(perf_counter() - began, 3)
    return report


def _plan_once(
    shop: Shop, now: datetime, asked: tuple[float, float, float], tell: Telling | None
) -> PlanReport | None:
    """Plan a shop; None where another wrote its plan meanwhile.

    asked: seconds, those of each piece of work, and those of going on.
    """
    seconds, a_piece, go_on = asked
    number = plan_number(shop)
    facts = load_shop(shop, now)
    problem = instance(facts)
    marks = digest(problem, facts)
    kept = Plan.objects.filter(shop=shop, facts=marks, first_day=facts.horizon.first).first()
    cut_off = kept if kept and kept.stopped == "time" and go_on else None
    if kept is not None and cut_off is None:
        return _kept(kept, facts, read_problem(problem))
    # going on starts from where the work stands, with other chances than the search before
    limits = RunLimits(
        seconds=go_on if cut_off else seconds + a_piece * len(facts.work),
        workers=WORKERS,
        seed=number if cut_off else 0,
        gap=CONTENT,
    )
    result = solve(read_problem(problem), limits, tell)
    if cut_off is not None:
        result = _proven_before(result, cut_off, facts)
    with transaction.atomic():
        lock_shop(shop)
        if plan_number(shop) != number:
            return None
        write_plan(facts, result, marks, now)
    report = _solved(result, facts)
    if kept is not None:
        report.saved = _saved(kept, result)
    return report


def _proven_before(result: Result, before: Plan, facts: ShopFacts) -> Result:
    """Return a plan with what the search before it proved, if that is more than its own did.

    Both are of the same facts but for where work stood: there each piece of work is charged for
    moving off its place.  Work that moves from the first place to the last is charged no more than
    moving over the plan between them would be, so what was proven counts, less the charges of that
    plan.  Where work is supplied from another shelf than its own, the facts may differ: then not.
    """
    supplied = any(one.stands_in for each in facts.takes.values() for one in each)
    if supplied or result.clashes:
        return result
    proven = before.bound - before.cost.get("change", 0.0) - CENT
    bound = max(result.bound, min(result.total, proven))
    near = result.total - bound <= CONTENT * result.total
    stopped = "gap" if near and result.stopped == "time" else result.stopped
    return replace(result, bound=bound, stopped=stopped)


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
