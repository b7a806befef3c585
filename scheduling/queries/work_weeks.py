"""Hours of work that come, week by week, against the hours that a shop has left.

What stands on a shop day counts there.  All else, and every repeat of every service, comes from the
simulation of `scheduling.core.forecast.work_to_come`: expected hours, and those that are not passed
in nine of ten.  Repairs that nobody has planned count in the first week.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np

from fleet.charts import Week
from fleet.models import Finding, Shop
from scheduling.core.forecast import WorkToCome, work_to_come
from scheduling.models import DuePoint, PlannedJob, PlannedWork
from scheduling.plan.horizon import ANY_SKILL, load_days
from scheduling.plan.workers import load_workers
from scheduling.queries.plan_loads import NO_SKILL, skill_of
from scheduling.queries.work_that_repeats import (
    PlanOnDays,
    plan_on_days,
    points_of_shop,
    repeating_work,
    skill_asked,
)

WEEKS = 12


@dataclass(frozen=True)
class SkillHours:
    """One skill over the weeks: hours planned or expected, those of nine in ten, hours left.

    short_weeks: the Mondays of weeks in which more is expected than is left.
    """

    name: str
    expected: float
    ninth: float
    left: float
    short_weeks: tuple[date, ...] = ()

    @property
    def short(self) -> bool:
        """Whether more is expected than is left."""
        return self.expected > self.left


@dataclass(frozen=True)
class WorkWeeks:
    """Weeks from the Monday of this one, and the same hours by skill."""

    weeks: list[Week]
    skills: list[SkillHours]


@dataclass(frozen=True)
class _Left:
    """Hours that are left by day, of everybody, and of each skill's holders."""

    together: dict[date, float]
    by_skill: dict[str, dict[date, float]]


def work_weeks(
    shop: Shop, today: date, weeks: int = WEEKS, *, now: datetime | None = None
) -> list[Week]:
    """Return so many weeks from the Monday of this one; a constant number of queries."""
    return weeks_by_skill(shop, today, weeks, now=now).weeks


def weeks_by_skill(
    shop: Shop, today: date, weeks: int = WEEKS, *, now: datetime | None = None
) -> WorkWeeks:
    """Return the weeks and the skills; with `now` of today's hours only those that are left."""
    monday = today - timedelta(days=today.weekday())
    left = _hours_left(shop, today, 7 * weeks - today.weekday(), now)
    unplanned, works, points = _repairs(shop), plan_on_days(shop), points_of_shop(shop)
    planned = _by_week(_planned(works), monday, weeks)
    repairs = _by_week([(today, minutes) for minutes, _ in unplanned], monday, weeks)
    fixed = _fixed(works.left, unplanned, today)
    names = sorted({*left.by_skill, *fixed, *map(skill_asked, points)})
    coming = _coming(points, works.left, today, (weeks, names))
    found = [
        Week(
            monday + timedelta(weeks=n),
            planned[n],
            float(coming.together[n]),
            repairs[n],
            sum(left.together.get(monday + timedelta(days=7 * n + d), 0.0) for d in range(7)),
            planned[n] + repairs[n] + float(coming.together_ninth[n]),
        )
        for n in range(weeks)
    ]
    return WorkWeeks(found, _skills(fixed, names, coming, left, monday))


def _hours_left(shop: Shop, today: date, days: int, now: datetime | None) -> _Left:
    """Return the hours of everybody from today on; of today those until the shop closes."""
    horizon = load_days(shop, today, days)
    share = _share_left(shop, now) if now else 1.0
    together: dict[date, float] = defaultdict(float)
    by_skill: dict[str, dict[date, float]] = defaultdict(lambda: defaultdict(float))
    for worker in load_workers(shop, horizon):
        for number, hours in enumerate(worker.hours):
            rest = hours * (share if number == 0 else 1.0)
            together[horizon.date(number)] += rest
            for skill in {*worker.skills, ANY_SKILL}:
                by_skill[skill][horizon.date(number)] += rest
    return _Left(together, by_skill)


def _share_left(shop: Shop, now: datetime) -> float:
    """Return the share of today's opening hours that is still to come."""
    here = now.astimezone(shop.zone)
    row = shop.hours.filter(weekday=here.weekday()).first()
    if row is None:
        return 1.0

    def hour(at: datetime) -> float:
        return at.hour + at.minute / 60

    opens, closes = (one.hour + one.minute / 60 for one in (row.opens, row.closes))
    return min(1.0, max(0.0, (closes - hour(here)) / (closes - opens)))


def _by_week(work: Iterable[tuple[date, float]], monday: date, weeks: int) -> list[float]:
    """Add minutes up to hours by week; what lies before the first week counts in it."""
    hours = [0.0] * weeks
    for day, minutes in work:
        week = max((day - monday).days // 7, 0)
        if week < weeks:
            hours[week] += minutes / 60
    return hours


def _planned(works: PlanOnDays) -> Iterable[tuple[date, int]]:
    """Return minutes that planned jobs still take by day, help of second persons included.

    Work of several days is done from its first day on, so what is left lies on the last ones.
    """
    left: dict[PlannedJob, list[PlannedWork]] = defaultdict(list)
    over: dict[int | None, int] = defaultdict(int)
    for work in works.done:
        over[work.job_id] += work.minutes
    for work in works.left:
        if work.job:
            left[work.job].append(work)
            over[work.job_id] += work.minutes - _minutes(work)
    for job, rest in left.items():
        minutes = max(0, job.minutes - over[job.pk])
        for day, taken in sorted(job.minutes_by_day().items(), reverse=True):
            yield day, min(taken, minutes)
            minutes -= min(taken, minutes)
        if any(work.second_minutes for work in rest):
            yield job.day, job.second_minutes


def _fixed(
    works: Iterable[PlannedWork], repairs: Iterable[tuple[int, str]], today: date
) -> dict[str, list[tuple[date, int]]]:
    """Return by skill day and minutes of what is planned and of repairs that nobody planned."""
    fixed: dict[str, list[tuple[date, int]]] = defaultdict(list)
    for work in works:
        fixed[skill_of(work)].append((work.job.day if work.job else today, _minutes(work)))
    for minutes, skill in repairs:
        fixed[skill].append((today, minutes))
    return fixed


def _minutes(work: PlannedWork) -> int:
    """Return the minutes that a piece of work still takes."""
    return int(work.minutes if work.left_since is None else min(work.minutes, work.left_since))


def _repairs(shop: Shop) -> list[tuple[int, str]]:
    """Return minutes and skill of the repairs that stand on no shop day."""
    on_a_day = PlannedWork.objects.filter(
        plan__shop=shop, job__isnull=False, finding__isnull=False
    ).values("finding")
    rows = Finding.objects.filter(
        machine__yard__shop=shop, machine__retired_on=None, settled_at=None, calls_for=None
    ).exclude(gravity=Finding.Gravity.NOTE)
    rows = rows.exclude(pk__in=on_a_day).order_by()
    return [(m, skill or ANY_SKILL) for m, skill in rows.values_list("minutes", "skill__name")]


def _coming(
    points: list[DuePoint],
    works: list[PlannedWork],
    today: date,
    asked: tuple[int, list[str]],
) -> WorkToCome:
    """Simulate what does not stand on a shop day yet, and all that comes after what does.

    asked: weeks, and names of the skills.
    """
    weeks, names = asked
    work = repeating_work(points, works, today, names)
    return work_to_come(work, len(names), weeks, gone=today.weekday())


def _skills(
    fixed: dict[str, list[tuple[date, int]]],
    names: list[str],
    coming: WorkToCome,
    left: _Left,
    monday: date,
) -> list[SkillHours]:
    """Return the hours by skill; fixed: day and minutes of what is planned or to be repaired."""
    weeks = coming.expected.shape[1]
    found = []
    for n, name in enumerate(names):
        planned = np.array(_by_week(fixed.get(name, []), monday, weeks), dtype=float)
        minutes = ((day, 60 * hours) for day, hours in left.by_skill[name].items())
        there = np.array(_by_week(minutes, monday, weeks), dtype=float)
        short = np.flatnonzero(planned + coming.expected[n] > there)
        hours = float(planned.sum())
        found.append(
            SkillHours(
                NO_SKILL if name == ANY_SKILL else name,
                hours + float(coming.by_skill[n]),
                hours + float(coming.by_skill_ninth[n]),
                float(there.sum()),
                tuple(monday + timedelta(weeks=int(week)) for week in short),
            )
        )
    return [one for one in found if one.expected or one.left]
