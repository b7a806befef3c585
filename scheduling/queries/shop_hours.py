"""Hours that a shop's mechanics can work, and hours that the plan asks of them, by day."""

from datetime import date, timedelta

from django.db.models import Sum

from fleet.models import Absence, ClosedDay, Shop, ShopHours, WorkingHours
from scheduling.models import PlannedJob


def hours_to_work(shop: Shop, first: date, days: int) -> dict[date, float]:
    """Return hours of all who work there by day: none on a closed day or of a person away."""
    return {day: sum(each.values()) for day, each in hours_of_each(shop, first, days).items()}


def hours_of_each(shop: Shop, first: date, days: int) -> dict[date, dict[int, float]]:
    """Return by day the hours of every person who works on it: person -> hours."""
    span = [first + timedelta(days=n) for n in range(days)]
    closed = set(
        ClosedDay.objects.filter(shop=shop, yard=None, day__in=span).values_list("day", flat=True)
    )
    open_weekdays = set(ShopHours.objects.filter(shop=shop).values_list("weekday", flat=True))
    week, away = _week(shop), _away(shop, first, span[-1])
    return {
        day: {}
        if day in closed or day.weekday() not in open_weekdays
        else {
            person: hours
            for person, hours in week.get(day.weekday(), [])
            if not any(start <= day <= end for start, end in away.get(person, []))
        }
        for day in span
    }


def hours_planned(shop: Shop, first: date, days: int) -> dict[date, float]:
    """Return hours of planned jobs by day; a day without jobs is absent."""
    rows = (
        PlannedJob.objects.filter(
            plan__shop=shop, day__gte=first, day__lt=first + timedelta(days=days)
        )
        .values_list("day")
        .annotate(total=Sum("minutes"))
        .order_by("day")
    )
    return {day: total / 60 for day, total in rows}


def _week(shop: Shop) -> dict[int, list[tuple[int, float]]]:
    """Weekday -> (person, hours) of each who works on it."""
    week: dict[int, list[tuple[int, float]]] = {}
    rows = WorkingHours.objects.filter(person__shop=shop, person__is_active=True)
    for person, weekday, hours in rows.values_list("person", "weekday", "hours"):
        week.setdefault(weekday, []).append((person, hours))
    return week


def _away(shop: Shop, first: date, last: date) -> dict[int, list[tuple[date, date]]]:
    """Person -> spans of days away."""
    away: dict[int, list[tuple[date, date]]] = {}
    rows = Absence.objects.filter(
        person__shop=shop, person__is_active=True, first_day__lte=last, last_day__gte=first
    )
    for person, start, end in rows.values_list("person", "first_day", "last_day"):
        away.setdefault(person, []).append((start, end))
    return away
