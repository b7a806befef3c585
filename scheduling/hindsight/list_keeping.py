"""The night's part: keep the list of the day that begins, from the plan as it stands."""

from datetime import date, datetime

from django.db.models import Q

from fleet.actions.keep_day import DayList, keep_day
from fleet.models import KeptWork, Shop
from scheduling.models import Plan, PlannedJob, PlannedWork
from scheduling.plan.shop_hours import hours_to_work

LONGEST = 300
"""Letters of a title."""


def keep_list(shop: Shop, day: date, now: datetime) -> int | None:
    """Keep a shop's list for a day; how much work stands on it, None where nothing was written.

    Nothing is written without a plan that reaches the day, nor a second time for one day.
    """
    plan = Plan.objects.filter(shop=shop).first()
    if plan is None or not 0 <= (day - plan.first_day).days < plan.days:
        return None
    kept = keep_day(shop, _list_of(plan, day), now=now)
    return kept.work.count() if kept else None


def _list_of(plan: Plan, day: date) -> DayList:
    """Return the list of a day; work over several days stands on the list of its last one."""
    under_way = Q(day=day) | Q(day__lt=day, last_day__gte=day)
    jobs = list(PlannedJob.objects.filter(under_way, plan=plan))
    rows = PlannedWork.objects.filter(
        plan=plan, job__in=[job.pk for job in jobs if job.ends == day]
    ).select_related("job", "service", "finding")
    return DayList(
        day=day,
        minutes=sum(job.minutes_on(day) for job in jobs),
        minutes_there=round(60 * hours_to_work(plan.shop, day, 1)[day]),
        work=[_kept(row) for row in rows.order_by("job__mechanic", "job__position", "position")],
    )


def _kept(row: PlannedWork) -> KeptWork:
    return KeptWork(
        machine_id=row.machine_id,
        work_key=row.work_key,
        title=row.title[:LONGEST],
        service_id=row.service_id,
        finding_id=row.finding_id,
        mechanic_id=row.job.mechanic_id if row.job else None,
        minutes=row.minutes,
    )
