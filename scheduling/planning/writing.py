"""A plan written by its difference: jobs with their work in order, and what waits."""

from dataclasses import dataclass
from datetime import date, datetime

from scheduling.core.planner import Result
from scheduling.models import Plan, PlannedJob, PlannedWork
from scheduling.planning.problem import ShopFacts
from scheduling.planning.unkept import LONGEST, cannot_keep, unkept
from scheduling.planning.words import missing, translator, why_not, why_there
from scheduling.planning.work import Work
from scheduling.refreshing.writing import Written, write_difference

JOB_KEYS = ("plan_id", "machine_id", "day")
JOB_FIELDS = ("mechanic_id", "position", "minutes")
WORK_KEYS = ("plan_id", "work_key")
WORK_FIELDS = (
    "job_id", "machine_id", "service_id", "finding_id", "due_point_id", "minutes", "pinned", "why",
    "unkept",
)  # fmt: skip


@dataclass(frozen=True)
class Visit:
    """One machine on one day with one mechanic."""

    machine: int
    day: date
    mechanic: int
    work: tuple[Work, ...]


def write_plan(facts: ShopFacts, result: Result, facts_digest: str, now: datetime) -> Written:
    """Write a shop's plan in the place of the last one."""
    plan = _plan(facts, result, facts_digest, now)
    visits = _visits(facts, result)
    jobs = write_difference(
        PlannedJob.objects.filter(plan=plan), (JOB_KEYS, JOB_FIELDS), _job_rows(plan, visits, facts)
    )
    rows = _work_rows(plan, visits, facts, result, jobs)
    work = write_difference(PlannedWork.objects.filter(plan=plan), (WORK_KEYS, WORK_FIELDS), rows)
    return jobs + work


def _plan(facts: ShopFacts, result: Result, facts_digest: str, now: datetime) -> Plan:
    lacking = [*cannot_keep(result, facts), *missing(facts)]
    plan, _ = Plan.objects.update_or_create(
        shop=facts.shop,
        defaults={
            "made_at": now,
            "first_day": facts.horizon.first,
            "days": facts.horizon.days,
            "cost": {term: round(money, 2) for term, money in result.cost.items()},
            "total": round(result.total, 2),
            "bound": round(result.bound, 2),
            "gap": round(result.gap, 4),
            "stopped": result.stopped,
            "facts": facts_digest,
            "missing": " ".join(lacking)[:300],
        },
    )
    return plan


def _visits(facts: ShopFacts, result: Result) -> list[Visit]:
    """Join what one machine has done on one day, in the order in which it is worked."""
    by_key = {work.key: work for work in facts.work}
    workers = {worker.username: worker.pk for worker in facts.workers}
    grouped: dict[tuple[int, int, str], list[Work]] = {}
    for spot in result.assignments:
        work = by_key[spot.task]
        grouped.setdefault((spot.day, work.machine, spot.mechanic), []).append(work)
    found = [
        Visit(machine, facts.horizon.date(day), workers[who], tuple(group))
        for (day, machine, who), group in grouped.items()
    ]
    return sorted(found, key=lambda visit: _order(visit, facts))


def _order(visit: Visit, facts: ShopFacts) -> tuple[object, ...]:
    """Order a day: a remote yard at a time, then what goes out first, then the most urgent."""
    machine = facts.machines[visit.machine]
    day = facts.horizon.number(visit.day)
    goes_out = min((o.first for o in machine.outs if o.first >= day), default=10**6)
    due = min(work.due[1] for work in visit.work)
    return visit.day, visit.mechanic, machine.yard or 0, goes_out, due, machine.tag


def _job_rows(
    plan: Plan, visits: list[Visit], facts: ShopFacts
) -> dict[tuple[object, ...], tuple[object, ...]]:
    rows: dict[tuple[object, ...], tuple[object, ...]] = {}
    positions: dict[tuple[date, int], int] = {}
    for visit in visits:
        mine = (visit.day, visit.mechanic)
        positions[mine] = positions.get(mine, 0) + 1
        key = (plan.pk, visit.machine, visit.day)
        rows[key] = (visit.mechanic, positions[mine], _minutes(visit, facts))
    return rows


def _minutes(visit: Visit, facts: ShopFacts) -> int:
    """Return the minutes of a visit: its own, each set-up once, and the work."""
    needed = {name for work in visit.work for name in facts.setups_of.get(work.service or 0, ())}
    hours = facts.machines[visit.machine].visit[0] + sum(facts.setups[n][0] for n in needed)
    return round(hours * 60) + sum(work.minutes for work in visit.work)


def _work_rows(
    plan: Plan, visits: list[Visit], facts: ShopFacts, result: Result, jobs: Written
) -> dict[tuple[object, ...], tuple[object, ...]]:
    job_of = {
        work.key: jobs.keys[plan.pk, visit.machine, visit.day]
        for visit in visits
        for work in visit.work
    }
    say = translator(facts).say
    said = {spot.task: say(spot.why) for spot in result.assignments}
    broken = unkept(result, facts)
    return {
        (plan.pk, work.key): (
            job_of.get(work.key), work.machine, work.service, work.finding, work.due_point,
            work.minutes, work.key in facts.decided.pinned,
            why_there(work, said[work.key], facts) if work.key in said else why_not(work, facts),
            broken.get(work.key, "")[:LONGEST],
        )
        for work in facts.work
    }  # fmt: skip
