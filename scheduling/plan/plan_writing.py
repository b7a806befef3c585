"""A plan written by its difference: jobs with their work in order, and what waits."""

from dataclasses import dataclass, replace
from datetime import date, datetime

from scheduling.calendar.revisions import revise
from scheduling.core.planner import Assignment, Result
from scheduling.due.row_writing import Written, write_difference
from scheduling.models import Plan, PlannedJob, PlannedWork
from scheduling.plan.horizon import Worker
from scheduling.plan.plan_words import missing, why_there
from scheduling.plan.sequence import in_order
from scheduling.plan.shop_problem import ShopFacts
from scheduling.plan.speaking import cost_words, ways_out, week_words, why_it_waits, whys_there
from scheduling.plan.unkept import cannot_keep, unkept
from scheduling.plan.work_to_plan import WorkToPlan
from scheduling.wording import fitted

JOB_KEYS = ("plan_id", "machine_id", "day")
JOB_FIELDS = (
    "mechanic_id", "position", "minutes", "last_day", "by_day", "second_id", "second_minutes",
)  # fmt: skip
WORK_KEYS = ("plan_id", "work_key")
WORK_FIELDS = (
    "job_id", "machine_id", "service_id", "finding_id", "due_point_id", "minutes", "pinned", "why",
    "unkept", "gives", "position", "begun",
)  # fmt: skip


@dataclass(frozen=True)
class PlannedVisit:
    """One machine on one day with one mechanic, or over several days; work: in its order.

    second: a second person; by_day: minutes on each day of a visit over several.
    """

    machine: int
    day: date
    mechanic: int
    work: tuple[WorkToPlan, ...]
    second: int | None = None
    by_day: tuple[tuple[date, int], ...] = ()

    @property
    def last_day(self) -> date | None:
        """The day on which a visit over several days ends."""
        return self.by_day[-1][0] if self.by_day else None


MOST_SAID = 1000
"""Characters kept of what a shop lacks and what its plan cannot keep."""


def write_plan(facts: ShopFacts, result: Result, facts_digest: str, now: datetime) -> Written:
    """Write a shop's plan in the place of the last one."""
    plan = _plan(facts, result, facts_digest, now)
    visits = _visits(facts, result)
    jobs = write_difference(
        PlannedJob.objects.filter(plan=plan), (JOB_KEYS, JOB_FIELDS), _job_rows(plan, visits, facts)
    )
    rows = _work_rows(plan, visits, facts, result, jobs)
    work = write_difference(PlannedWork.objects.filter(plan=plan), (WORK_KEYS, WORK_FIELDS), rows)
    revise(facts.shop, now)
    return jobs + work


def _plan(facts: ShopFacts, result: Result, facts_digest: str, now: datetime) -> Plan:
    lacking = [*cannot_keep(result, facts), *missing(facts)]
    before = Plan.objects.filter(shop=facts.shop).values_list("number", flat=True).first() or 0
    plan, _ = Plan.objects.update_or_create(
        shop=facts.shop,
        defaults={
            "number": before + 1,
            "made_at": now,
            "first_day": facts.horizon.first,
            "days": facts.horizon.days,
            "cost": {term: round(money, 2) for term, money in result.cost.items()},
            "total": round(result.total, 2),
            "cost_words": cost_words(result),
            "weeks": week_words(result, facts),
            "bound": round(result.bound, 2),
            "gap": round(result.gap, 4),
            "stopped": result.stopped,
            "facts": facts_digest,
            "missing": fitted(lacking, MOST_SAID),
            "given_up": sorted(int(key) for key in result.blocked_bookings),
            "given_up_as": _given_up_as(facts, result),
            "late_work": result.counts.late_tasks if result.counts else None,
            "put_off_work": result.counts.deferred if result.counts else None,
        },
    )
    return plan


def _given_up_as(facts: ShopFacts, result: Result) -> dict[str, list[int | str]]:
    """Return the bookings that a plan gives up as it knew them: machine, first and last day."""
    lost, day = set(result.blocked_bookings), facts.horizon.date
    return {
        str(out.pk): [machine.pk, day(out.first).isoformat(), day(out.last).isoformat()]
        for machine in facts.machines.values()
        for out in machine.outs
        if str(out.pk) in lost
    }


def _visits(facts: ShopFacts, result: Result) -> list[PlannedVisit]:
    """Join what one machine has done on one day, in the order in which it is worked."""
    by_key = {work.key: work for work in facts.work}
    grouped: dict[tuple[int, int, str], list[Assignment]] = {}
    for spot in result.assignments:
        where = (spot.day, by_key[spot.task].machine, spot.mechanic)
        grouped.setdefault(where, []).append(spot)
    found = [_visit([by_key[spot.task] for spot in g], g, facts) for g in grouped.values()]
    return sorted(found, key=lambda visit: _order(visit, facts))


def _visit(work: list[WorkToPlan], spots: list[Assignment], facts: ShopFacts) -> PlannedVisit:
    workers = {worker.username: worker for worker in facts.workers}
    mechanic, day = workers[spots[0].mechanic], spots[0].day
    second = next(filter(None, (spot.second for spot in spots)), None)
    last = max(day if spot.last_day is None else spot.last_day for spot in spots)
    visit = PlannedVisit(
        work[0].machine,
        facts.horizon.date(day),
        mechanic.pk,
        tuple(in_order(work, facts.order, facts.setups_of)),
        workers[second].pk if second else None,
    )
    if last == day:
        return visit
    return replace(visit, by_day=_spread(_minutes(visit, facts), mechanic, (day, last), facts))


def _spread(
    minutes: int, mechanic: Worker, days: tuple[int, int], facts: ShopFacts
) -> tuple[tuple[date, int], ...]:
    """Return the minutes of a long visit by day: whole days of its mechanic, then the rest."""
    found, (first, last) = [], days
    for day in range(first, last + 1):
        taken = minutes if day == last else min(minutes, int(60 * mechanic.hours[day]))
        if taken > 0 or day == last:
            found.append((facts.horizon.date(day), taken))
        minutes -= taken
    return tuple(found)


def _order(visit: PlannedVisit, facts: ShopFacts) -> tuple[object, ...]:
    """Order a day: a remote yard at a time, then what goes out first, then the most urgent."""
    machine = facts.machines[visit.machine]
    day = facts.horizon.number(visit.day)
    goes_out = min((o.first for o in machine.outs if o.first >= day), default=10**6)
    due = min(work.due[1] for work in visit.work)
    return visit.day, visit.mechanic, machine.yard or 0, goes_out, due, machine.tag


def _job_rows(
    plan: Plan, visits: list[PlannedVisit], facts: ShopFacts
) -> dict[tuple[object, ...], tuple[object, ...]]:
    rows: dict[tuple[object, ...], tuple[object, ...]] = {}
    positions: dict[tuple[date, int], int] = {}
    for visit in visits:
        mine = (visit.day, visit.mechanic)
        positions[mine] = positions.get(mine, 0) + 1
        key = (plan.pk, visit.machine, visit.day)
        rows[key] = (
            visit.mechanic, positions[mine], _minutes(visit, facts), visit.last_day,
            {day.isoformat(): minutes for day, minutes in visit.by_day}, visit.second,
            sum(work.second[0] for work in visit.work if work.second),
        )  # fmt: skip
    return rows


def _minutes(visit: PlannedVisit, facts: ShopFacts) -> int:
    """Return the minutes of a visit: its own, each set-up once, and the work."""
    needed = {name for work in visit.work for name in facts.setups_of.get(work.service or 0, ())}
    hours = facts.machines[visit.machine].visit[0] + sum(facts.setups[n][0] for n in needed)
    return round(hours * 60) + sum(work.minutes for work in visit.work)


def _work_rows(
    plan: Plan, visits: list[PlannedVisit], facts: ShopFacts, result: Result, jobs: Written
) -> dict[tuple[object, ...], tuple[object, ...]]:
    job_of = {
        work.key: jobs.keys[plan.pk, visit.machine, visit.day]
        for visit in visits
        for work in visit.work
    }
    position = {work.key: at for visit in visits for at, work in enumerate(visit.work, start=1)}
    said = whys_there(result, facts)
    broken = unkept(result, facts)
    return {
        (plan.pk, work.key): (
            job_of.get(work.key), work.machine, work.service, work.finding, work.due_point,
            work.minutes, work.key in facts.decided.pinned,
            why_there(work, said[work.key], facts)
            if work.key in said
            else why_it_waits(work, result, facts),
            broken.get(work.key, ""), ways_out(work, result, facts),
            position.get(work.key, 0), work.begun is not None,
        )
        for work in facts.work
    }  # fmt: skip
