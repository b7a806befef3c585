"""A shop's services as lines of work that repeat: when each falls due, how often again."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import inf

import numpy as np

from fleet.models import Shop
from fleet.queries.covered_services import covered_services
from scheduling.core.forecast import RepeatingWork
from scheduling.models import DuePoint, Plan, PlannedWork
from scheduling.plan.horizon import ANY_SKILL
from scheduling.queries.batch_list import done_work
from scheduling.queries.day_minutes import with_words_since

DAYS_OF_A_MONTH = 30.44
"""Mean length of a month of the Gregorian calendar, days."""


OF_A_POINT = (
    "hard", "due_day", "p10", "p50", "p90", "rate_per_day",
    "interval__every", "interval__every_days", "interval__every_months",
    "service__name", "service__minutes", "service__second_minutes", "service__skill__name",
    "machine__tag", "machine__duty_factor", "machine__makeup", "machine__yard__duty_factor",
    "machine__yard__shop",
)  # fmt: skip
"""What is read of thousands of due points and of what they hang on."""


@dataclass(frozen=True)
class PlanOnDays:
    """The work of a shop's plan that stands on a shop day: what is left of it, and what is done."""

    left: list[PlannedWork]
    done: list[PlannedWork]


def plan_on_days(shop: Shop) -> PlanOnDays:
    """Return the work that a shop's plan has on its days, with what became of it since."""
    plan = Plan.objects.filter(shop=shop).first()
    if plan is None:
        return PlanOnDays([], [])
    rows = PlannedWork.objects.filter(plan=plan, job__isnull=False).select_related(
        "job", "due_point", "service__skill", "finding__skill"
    )
    works = list(with_words_since(rows))
    for work in works:  # read once: it is large, and the same for all
        work.plan = plan
        if work.job:
            work.job.plan = plan
    done = done_work(works, [work.job for work in works if work.job])
    return PlanOnDays(
        [work for work in works if work.pk not in done], [w for w in works if w.pk in done]
    )


def points_of_shop(shop: Shop) -> list[DuePoint]:
    """Return the due points of a shop's working machines."""
    rows = DuePoint.objects.filter(machine__yard__shop=shop, machine__retired_on=None)
    rows = rows.select_related("interval", "service__skill", "machine__yard")
    return list(rows.only(*OF_A_POINT).order_by("pk"))


def repeating_work(
    points: Sequence[DuePoint], works: Sequence[PlannedWork], today: date, names: Sequence[str]
) -> RepeatingWork:
    """Return a line a due point: what does not stand on a shop day, and what comes after that.

    names: of the skills.
    """
    covered = covered_services()
    planned = {work.due_point_id: work.job.day for work in works if work.job}
    place = {(p.machine_id, p.service_id): n for n, p in enumerate(points)}
    lines = [_line(point, planned.get(point.pk), today) for point in points]
    columns = [np.array(column) for column in zip(*lines, strict=True)] or [np.zeros(0)] * 5
    return RepeatingWork(
        columns[0], columns[1], columns[2], columns[3], columns[4],
        np.array([names.index(skill_asked(p)) for p in points], dtype=np.int64),
        [
            [
                place[p.machine_id, upper]
                for upper in covered.covering(p.machine.makeup_id, p.service_id)
                if (p.machine_id, upper) in place
            ]
            for p in points
        ],
    )  # fmt: skip


def skill_asked(point: DuePoint) -> str:
    """Return the name of the skill that a service asks for."""
    return point.service.skill.name if point.service.skill else ANY_SKILL


def _line(
    point: DuePoint, planned: date | None, today: date
) -> tuple[float, float, float, float, float]:
    """Return days until it is due (early, middle, late), days between its times, and its hours."""
    hours = (point.service.minutes + point.service.second_minutes) / 60
    every = _every(point)
    low, middle, high = _range(point, today)
    if planned is not None:  # its next time stands on a shop day; the one after that is to come
        again = (planned - today).days + every
        # as unsure as its use, and so as its forecast for as many days
        share = every / max(middle, every) if middle < inf else 0.0
        below, above = (one * share if one < inf else 0.0 for one in (middle - low, high - middle))
        return again - below, again, again + above, every, hours
    return low, middle, high, every, hours


def _range(point: DuePoint, today: date) -> tuple[float, float, float]:
    """Return the early, middle and late day of a due point, as days from today."""
    middle = point.p50 or point.due_day
    if middle is None:
        return inf, inf, inf

    def away(day: date | None) -> float:
        return inf if day is None else float((day - today).days)

    low, high = (point.p10, point.p90) if point.p50 else (middle, middle)
    return away(low), away(middle), away(high)


def _every(point: DuePoint) -> float:
    """Return the days from one time to the next, by whichever side comes first."""
    rule = point.interval
    if rule is None:
        return inf
    sides, machine = [inf], point.machine
    duty = 1.0 if point.hard else machine.duty_factor * machine.yard.duty_factor
    if rule.every and point.rate_per_day:
        sides.append(rule.every * duty / point.rate_per_day)
    if rule.every_days:
        sides.append(float(rule.every_days))
    if rule.every_months:
        sides.append(rule.every_months * DAYS_OF_A_MONTH)
    return min(sides)
