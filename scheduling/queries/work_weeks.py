"""Hours of work that come, week by week, against the hours that a shop has left.

What stands on a shop day counts there.  All else, and every repeat of every service, comes from the
simulation of `scheduling.core.forecast.work_to_come`: expected hours, and those that are not passed
in nine of ten.  Repairs that nobody has planned count in the first week.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from fleet.charts import Week
from fleet.models import Finding, Shop
from scheduling.core.forecast import WorkToCome, work_to_come
from scheduling.models import DuePoint, PlannedJob, PlannedWork
from scheduling.plan.horizon import ANY_SKILL, load_days
from scheduling.plan.workers import load_workers
from scheduling.queries.plan_loads import NO_SKILL, skill_of
from scheduling.queries.work_that_repeats import (
    points_of_shop,
    repeating_work,
    skill_asked,
    works_on_a_day,
)

WEEKS = 12


@dataclass(frozen=True)
class SkillHours:
    """One skill over the weeks: hours planned or expected, those of nine in ten, hours left."""

    name: str
    expected: float
    ninth: float
    left: float

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
    """Hours that are left by day, of everybody and by skill."""

    together: dict[date, float]
    by_skill: dict[str, float]


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
    planned = _by_week(_planned(shop), monday, weeks)
    unplanned, works, points = _repairs(shop), works_on_a_day(shop), points_of_shop(shop)
    repairs = _by_week([(today, minutes) for minutes, _ in unplanned], monday, weeks)
    names = sorted({*left.by_skill, *map(skill_asked, points)})
    coming = _coming(points, works, today, (weeks, names))
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
    fixed = [(work.minutes, skill_of(work)) for work in works] + unplanned
    return WorkWeeks(found, _skills(fixed, names, coming, left))


def _hours_left(shop: Shop, today: date, days: int, now: datetime | None) -> _Left:
    """Return the hours of everybody from today on; of today those until the shop closes."""
    horizon = load_days(shop, today, days)
    share = _share_left(shop, now) if now else 1.0
    together: dict[date, float] = defaultdict(float)
    by_skill: dict[str, float] = defaultdict(float)
    for worker in load_workers(shop, horizon):
        for number, hours in enumerate(worker.hours):
            rest = hours * (share if number == 0 else 1.0)
            together[horizon.date(number)] += rest
            for skill in {*worker.skills, ANY_SKILL}:
                by_skill[skill] += rest
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


def _by_week(work: Iterable[tuple[date, int]], monday: date, weeks: int) -> list[float]:
    """Add minutes up to hours by week; what lies before the first week counts in it."""
    hours = [0.0] * weeks
    for day, minutes in work:
        week = max((day - monday).days // 7, 0)
        if week < weeks:
            hours[week] += minutes / 60
    return hours


def _planned(shop: Shop) -> Iterable[tuple[date, int]]:
    """Return minutes of planned jobs by day, help of second persons and long visits included."""
    rows = PlannedJob.objects.filter(plan__shop=shop).order_by()
    for job in rows.only("day", "minutes", "by_day", "second_minutes"):
        yield from job.minutes_by_day().items()
        yield job.day, job.second_minutes


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
    fixed: list[tuple[int, str]], names: list[str], coming: WorkToCome, left: _Left
) -> list[SkillHours]:
    """Return the hours by skill; fixed: minutes and skill of what is planned or to be repaired."""
    hours: dict[str, float] = defaultdict(float)
    for minutes, skill in fixed:
        hours[skill] += minutes / 60
    found = [
        SkillHours(
            NO_SKILL if name == ANY_SKILL else name,
            hours[name] + float(coming.by_skill[n]),
            hours[name] + float(coming.by_skill_ninth[n]),
            left.by_skill.get(name, 0.0),
        )
        for n, name in enumerate(names)
    ]
    return [one for one in found if one.expected or one.left]
