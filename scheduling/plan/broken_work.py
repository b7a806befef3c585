"""Planned work that can no longer be done where it stands, and new work that stands nowhere.

Pure, but for `load_placed`: the shop's facts and its plan in, what no longer holds out.  What the
plan itself says it cannot keep is not told again, and work under way goes on as it can.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from scheduling.models import Plan, PlannedWork
from scheduling.plan.horizon import Worker
from scheduling.plan.parts_taken import parts_taken
from scheduling.plan.shop_problem import ShopFacts
from scheduling.plan.work_to_plan import WorkToPlan
from scheduling.plan.workers import worker_on

ROUNDING = 5
"""Minutes by which a day may seem fuller than it is, each job rounded to the minute."""

SOON = 7.0
"""Days within which new work falls due that is worth a new plan before the night's."""


class Breach(StrEnum):
    """Why work cannot be done where it stands."""

    AWAY = "away"
    CLOSED = "closed"
    YARD_SHUT = "yard"
    HOURS = "hours"
    SKILL = "skill"
    OUT = "out"
    PART = "part"


@dataclass(frozen=True)
class PlacedWork:
    """Work as the plan has it; day: number of its first day; by_day: minutes of its whole job."""

    key: str
    day: int
    account: str
    second: str
    minutes: int
    job: int
    by_day: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class BrokenWork:
    """Work that cannot stay, why, and who or what it is about (a name, a tag, a part)."""

    placed: PlacedWork
    breach: Breach
    about: str = ""


def load_placed(plan: Plan, facts: ShopFacts) -> list[PlacedWork]:
    """Return what the plan has from today on and can be held to, by day; one query."""
    rows = (
        PlannedWork.objects.filter(plan=plan, job__day__gte=facts.horizon.first)
        .filter(unkept="", begun=False)
        .select_related("job__mechanic", "job__second")
        .order_by("job__day", "job__position", "position", "pk")
    )
    return [_placed(row, facts) for row in rows]


def _placed(row: PlannedWork, facts: ShopFacts) -> PlacedWork:
    job = row.job
    assert job is not None  # asked for by its day
    minutes = job.minutes_by_day().items()
    return PlacedWork(
        row.work_key,
        facts.horizon.number(job.day),
        job.mechanic.username,
        job.second.username if job.second else "",
        row.minutes,
        job.pk,
        tuple((facts.horizon.number(day), taken) for day, taken in minutes),
    )


def broken_work(facts: ShopFacts, placed: Sequence[PlacedWork]) -> list[BrokenWork]:
    """Return the work that cannot stay, each once, by the first of its reasons."""
    work = {each.key: each for each in facts.work}
    here = [each for each in placed if each.key in work and each.day < facts.horizon.days]
    found: dict[str, BrokenWork] = {}
    for each in here:
        if breach := _breach(each, work[each.key], facts):
            found[each.key] = breach
    stay = [each for each in here if each.key not in found]
    for broken in (*_too_full(stay, facts), *_without_part(stay, facts)):
        found.setdefault(broken.placed.key, broken)
    return [found[each.key] for each in here if each.key in found]


def new_work(facts: ShopFacts, known: Iterable[str]) -> list[WorkToPlan]:
    """Return work that falls due soon, or was found, and that the plan does not know of."""
    before = {*known, *facts.decided.later}
    return [
        each
        for each in facts.work
        if each.key not in before and not each.begun
        if each.finding is not None or each.due[1] <= SOON
    ]


def _breach(each: PlacedWork, work: WorkToPlan, facts: ShopFacts) -> BrokenWork | None:
    horizon, machine = facts.horizon, facts.machines[work.machine]
    if each.day in horizon.closed:
        return BrokenWork(each, Breach.CLOSED)
    if machine.yard is not None and each.day in horizon.yards_shut.get(machine.yard, ()):
        return BrokenWork(each, Breach.YARD_SHUT, str(facts.sites[machine.yard]))
    for account, skill in ((each.account, work.skill), (each.second, "")):
        if account and (breach := _by_person(each, account, skill, facts)):
            return breach
    if any(out.first <= each.day <= out.last for out in machine.outs):
        return BrokenWork(each, Breach.OUT, machine.tag)
    return None


def _by_person(each: PlacedWork, account: str, skill: str, facts: ShopFacts) -> BrokenWork | None:
    worker = _worker(account, each.day, facts)
    if worker is None:
        return BrokenWork(each, Breach.AWAY, account)
    if worker.hours[each.day] <= 0:
        away = each.day in facts.crew.away.get(worker.pk, ())
        return BrokenWork(each, Breach.AWAY if away else Breach.HOURS, worker.name)
    if skill and skill not in worker.skills:
        return BrokenWork(each, Breach.SKILL, worker.name)
    return None


def _worker(account: str, day: int, facts: ShopFacts) -> Worker | None:
    name = worker_on(facts.workers, account, day)
    return next((one for one in facts.workers if one.username == name), None)


def _too_full(placed: Sequence[PlacedWork], facts: ShopFacts) -> Iterator[BrokenWork]:
    """Yield the last work of days that hold more than their people's hours and overtime."""
    days: dict[tuple[str, int], dict[int, int]] = {}
    for each in placed:
        for day, minutes in each.by_day:
            days.setdefault((each.account, day), {})[each.job] = minutes
    for (account, day), jobs in days.items():
        worker = _worker(account, day, facts) if 0 <= day < facts.horizon.days else None
        if worker is None:
            continue
        over = sum(jobs.values()) - 60 * (worker.hours[day] + _overtime(facts, day)) - ROUNDING
        for job in reversed(jobs):
            if over <= 0:
                break
            over -= jobs[job]
            for each in placed:
                if each.job == job:
                    yield BrokenWork(each, Breach.HOURS, worker.name)


def _overtime(facts: ShopFacts, day: int) -> float:
    usual = facts.horizon.overtime.get(day, facts.shop.overtime_limit_hours)
    return usual + facts.horizon.more_overtime.get(day, 0.0)


def _without_part(placed: Sequence[PlacedWork], facts: ShopFacts) -> Iterator[BrokenWork]:
    """Yield work for which a part is not sure to be there by its day, first come first served."""
    order = [(each.key, each.day) for each in placed]
    takes = parts_taken(facts.shelf.needs, facts.shelf.stock, order)
    used: dict[int, float] = {}
    for each in placed:
        for stock, quantity in facts.counted(takes.get(each.key, ())):
            if used.get(stock.pk, 0.0) + quantity > stock.by(each.day) + 1e-6:
                yield BrokenWork(each, Breach.PART, stock.name)
            else:
                used[stock.pk] = used.get(stock.pk, 0.0) + quantity
