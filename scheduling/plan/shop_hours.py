"""Hours that a shop's mechanics can work, and hours that the plan asks of them, by day."""

from datetime import date, timedelta

from django.db.models import F, Sum

from fleet.models import Shop
from scheduling.models import PlannedJob
from scheduling.plan.horizon import load_days
from scheduling.plan.workers import load_workers


def hours_to_work(shop: Shop, first: date, days: int) -> dict[date, float]:
    """Return hours of all who work there by day: none on a closed day or of a person away."""
    return {day: sum(each.values()) for day, each in hours_of_each(shop, first, days).items()}


def hours_of_each(shop: Shop, first: date, days: int) -> dict[date, dict[int, float]]:
    """Return by day the hours of every person who works on it: person -> hours; eleven queries.

    They are the hours that the plan reckons with, lent hands and spells included.
    """
    horizon = load_days(shop, first, days)
    found: dict[date, dict[int, float]] = {horizon.date(n): {} for n in range(days)}
    for worker in load_workers(shop, horizon):
        for number, hours in enumerate(worker.hours):
            if hours > 0:
                found[horizon.date(number)][worker.pk] = hours
    return found


def hours_planned(shop: Shop, first: date, days: int) -> dict[date, float]:
    """Return hours of planned jobs by day, second persons' too; a day without jobs is absent.

    Two queries: jobs of one day are added up by the database.
    """
    last = first + timedelta(days=days - 1)
    jobs = PlannedJob.objects.filter(plan__shop=shop, day__lte=last).order_by("day")
    of_a_day = jobs.filter(day__gte=first, last_day=None).values_list("day")
    minutes = dict(of_a_day.annotate(total=Sum(F("minutes") + F("second_minutes"))))
    for job in jobs.filter(last_day__gte=first):
        taken = job.minutes_by_day()
        taken[job.day] = taken.get(job.day, 0) + job.second_minutes
        for day in taken:
            if first <= day <= last:
                minutes[day] = minutes.get(day, 0) + taken[day]
    return {day: minutes[day] / 60 for day in sorted(minutes)}
