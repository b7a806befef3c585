"""Hours of work that come, week by week, against the hours that a shop has.

Each service counts once, in the week of its planned day, or else in the week in which it most
likely falls due; what is overdue or due and not planned counts in the first week.  Repairs that
nobody has planned count in the first week too.
"""

from collections.abc import Iterable
from datetime import date, timedelta

from fleet.charts import Week
from fleet.models import Finding, Shop
from scheduling.models import DuePoint, PlannedJob, PlannedWork
from scheduling.plan.shop_hours import hours_to_work

WEEKS = 12


def work_weeks(shop: Shop, today: date, weeks: int = WEEKS) -> list[Week]:
    """Return so many weeks from the Monday of this one; a constant number of queries."""
    monday = today - timedelta(days=today.weekday())
    room = hours_to_work(shop, monday, 7 * weeks)
    planned = _by_week(_planned(shop), monday, weeks)
    unplanned = _by_week(_unplanned(shop), monday, weeks)
    repairs = _by_week([(today, minutes) for minutes in _repairs(shop)], monday, weeks)
    return [
        Week(
            monday + timedelta(weeks=n),
            planned[n],
            unplanned[n],
            repairs[n],
            sum(room[monday + timedelta(days=7 * n + d)] for d in range(7)),
        )
        for n in range(weeks)
    ]


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


def _unplanned(shop: Shop) -> Iterable[tuple[date, int]]:
    """Return when services fall due that stand on no shop day."""
    on_a_day = PlannedWork.objects.filter(
        plan__shop=shop, job__isnull=False, due_point__isnull=False
    ).values("due_point")
    rows = (
        DuePoint.objects.filter(machine__yard__shop=shop, machine__retired_on=None)
        .exclude(pk__in=on_a_day)
        .order_by()
        .values_list("p50", "due_day", "service__minutes")
    )
    for likely, calendar, minutes in rows:
        day = likely or calendar
        if day:
            yield day, minutes


def _repairs(shop: Shop) -> Iterable[int]:
    on_a_day = PlannedWork.objects.filter(
        plan__shop=shop, job__isnull=False, finding__isnull=False
    ).values("finding")
    return (
        Finding.objects.filter(
            machine__yard__shop=shop, machine__retired_on=None, settled_at=None, calls_for=None
        )
        .exclude(gravity=Finding.Gravity.NOTE)
        .exclude(pk__in=on_a_day)
        .order_by()
        .values_list("minutes", flat=True)
    )
