"""The days of a plan: which they are, on which the shop is open, who works how long."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import QuerySet

from fleet.models import Absence, ClosedDay, Person, Shop, ShopHours, WorkingHours

ANY_SKILL = "any"
"""The skill of work that asks for none; everybody holds it."""


@dataclass(frozen=True)
class Horizon:
    """Days of a plan: day 0 is the shop's today; open_hours: hours open on each day, 0 if shut."""

    first: date
    open_hours: tuple[float, ...]
    closed_why: dict[int, str]

    @property
    def days(self) -> int:
        """Return how many days there are."""
        return len(self.open_hours)

    @property
    def closed(self) -> list[int]:
        """Return the days on which the shop is shut."""
        return [day for day, hours in enumerate(self.open_hours) if hours <= 0]

    def number(self, day: date) -> int:
        """Return the number of a date; negative before today."""
        return (day - self.first).days

    def date(self, number: int) -> date:
        """Return the date of a day."""
        return self.first + timedelta(days=number)


@dataclass(frozen=True)
class Worker:
    """One person who works in the shop: hours on each day of the horizon, skills by name."""

    pk: int
    username: str
    name: str
    skills: frozenset[str]
    hours: tuple[float, ...]


def load_horizon(shop: Shop, now: datetime) -> Horizon:
    """Load the days of a shop's plan, with two queries."""
    first = now.astimezone(shop.zone).date()
    hours = dict(_open_hours(shop))
    shut = dict(
        ClosedDay.objects.filter(shop=shop, yard=None, day__gte=first).values_list("day", "reason")
    )
    days = [first + timedelta(days=number) for number in range(max(shop.horizon_days, 1))]
    lengths = tuple(0.0 if day in shut else hours.get(day.weekday(), 0.0) for day in days)
    why = {i: shut.get(day) or "shut" for i, day in enumerate(days) if lengths[i] <= 0}
    return Horizon(first, lengths, why)


def _open_hours(shop: Shop) -> list[tuple[int, float]]:
    rows = ShopHours.objects.filter(shop=shop).values_list("weekday", "opens", "closes")
    return [
        (weekday, (closes.hour - opens.hour) + (closes.minute - opens.minute) / 60)
        for weekday, opens, closes in rows
    ]


def load_workers(shop: Shop, horizon: Horizon) -> list[Worker]:
    """Load everybody with working hours in the shop, whatever their role, with four queries."""
    people = Person.objects.filter(shop=shop, is_active=True).order_by("username")
    skills: dict[int, set[str]] = {}
    for pk, skill in people.values_list("pk", "skills__name"):
        skills.setdefault(pk, {ANY_SKILL}).update([skill] if skill else [])
    week: dict[int, dict[int, float]] = {}
    for pk, weekday, hours in WorkingHours.objects.filter(person__in=people).values_list(
        "person_id", "weekday", "hours"
    ):
        week.setdefault(pk, {})[weekday] = hours
    away = _absences(people, horizon)
    return [
        Worker(
            person.pk,
            person.username,
            str(person),
            frozenset(skills[person.pk]),
            _hours(week[person.pk], away.get(person.pk, set()), horizon),
        )
        for person in people
        if person.pk in week
    ]


def _absences(people: QuerySet[Person], horizon: Horizon) -> dict[int, set[int]]:
    away: dict[int, set[int]] = {}
    rows = Absence.objects.filter(person__in=people, last_day__gte=horizon.first)
    for pk, first, last in rows.values_list("person_id", "first_day", "last_day"):
        low, high = max(horizon.number(first), 0), min(horizon.number(last) + 1, horizon.days)
        away.setdefault(pk, set()).update(range(low, high))
    return away


def _hours(week: dict[int, float], away: set[int], horizon: Horizon) -> tuple[float, ...]:
    """Return hours a day: none when away or the shop is shut, never more than it is open."""
    return tuple(
        0.0 if day in away else min(week.get(horizon.date(day).weekday(), 0.0), hours)
        for day, hours in enumerate(horizon.open_hours)
    )
