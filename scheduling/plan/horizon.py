"""The days of a plan: on which the shop is open, how much of the usual it can do on each."""

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from fleet.models import BayLoan, CapacitySpell, ClosedDay, OpenDay, OvertimeDay, Shop, ShopHours

ANY_SKILL = "any"
"""The skill of work that asks for none; everybody holds it."""


@dataclass(frozen=True)
class Horizon:
    """Days of a plan: day 0 is the shop's today; open_hours: hours open on each day, 0 if shut.

    share: of people's usual hours, by day; overtime: the most hours of it, where a spell says so;
    loaned_bays: more or fewer bays than usual; yards_shut: days of each yard that is shut alone;
    opened: days worked although the week or a closed day says otherwise; more_overtime: hours of
    it allowed on top of the limit.
    """

    first: date
    open_hours: tuple[float, ...]
    closed_why: dict[int, str]
    share: dict[int, float] = field(default_factory=dict)
    overtime: dict[int, float] = field(default_factory=dict)
    loaned_bays: dict[int, int] = field(default_factory=dict)
    yards_shut: dict[int, list[int]] = field(default_factory=dict)
    opened: frozenset[int] = frozenset()
    more_overtime: dict[int, float] = field(default_factory=dict)

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
    """One person who works in the shop: hours on each day of the horizon, skills by name.

    Somebody whose skills change within the horizon (a certificate runs out) is as many workers as
    there are sets of skills, each with hours on its own days; username then ends in ~2, ~3 ..., and
    signs_in is the user name of the person.
    """

    pk: int
    username: str
    name: str
    skills: frozenset[str]
    hours: tuple[float, ...]
    signs_in: str = ""

    @property
    def account(self) -> str:
        """Return the user name of the person."""
        return self.signs_in or self.username


def load_horizon(shop: Shop, now: datetime) -> Horizon:
    """Load the days of a shop's plan, with six queries."""
    return load_days(shop, now.astimezone(shop.zone).date(), max(shop.horizon_days, 1))


def load_days(shop: Shop, first: date, count: int) -> Horizon:
    """Load so many days of a shop from a first one on, with six queries."""
    days = [first + timedelta(days=number) for number in range(count)]
    hours = dict(_open_hours(shop))
    shut, yards_shut = _closed(shop, first, count)
    usual = (0.0 if day in shut else hours.get(day.weekday(), 0.0) for day in days)
    opened, longer = _single(OpenDay, shop, first, count), _single(OvertimeDay, shop, first, count)
    lengths = tuple(opened.get(number, length) for number, length in enumerate(usual))
    why = {i: shut.get(day) or "shut" for i, day in enumerate(days) if lengths[i] <= 0}
    spells = _spells(shop, days)
    return Horizon(
        first,
        lengths,
        why,
        {number: spell.share for number, spell in spells.items()},
        {
            number: spell.overtime_limit_hours
            for number, spell in spells.items()
            if spell.overtime_limit_hours is not None
        },
        _loaned(shop, first, count),
        yards_shut,
        frozenset(opened),
        longer,
    )


def _single(
    model: type[OpenDay] | type[OvertimeDay], shop: Shop, first: date, count: int
) -> dict[int, float]:
    """Return hours that were said of single days; the newest word counts, and 0 is as if unsaid."""
    rows = model._default_manager.filter(
        shop=shop, day__gte=first, day__lt=first + timedelta(days=count)
    ).order_by("pk")
    said = {(day - first).days: hours for day, hours in rows.values_list("day", "hours")}
    return {number: hours for number, hours in said.items() if hours > 0}


def _closed(shop: Shop, first: date, count: int) -> tuple[dict[date, str], dict[int, list[int]]]:
    """Return the shop's closed days with their reason, and numbers of days by yard shut alone."""
    rows = ClosedDay.objects.filter(
        shop=shop, day__gte=first, day__lt=first + timedelta(days=count)
    ).order_by("day")
    shut: dict[date, str] = {}
    yards: dict[int, list[int]] = {}
    for yard, day, reason in rows.values_list("yard_id", "day", "reason"):
        if yard is None:
            shut[day] = reason
        else:
            yards.setdefault(yard, []).append((day - first).days)
    return shut, yards


def _spells(shop: Shop, days: list[date]) -> dict[int, CapacitySpell]:
    """Return the spell of each day that has one; one of that year wins over one of every year."""
    spells = sorted(CapacitySpell.objects.filter(shop=shop), key=lambda one: one.year is not None)
    return {
        number: spell for spell in spells for number, day in enumerate(days) if spell.covers(day)
    }


def _loaned(shop: Shop, first: date, count: int) -> dict[int, int]:
    loans = BayLoan.objects.filter(
        shop=shop, last_day__gte=first, first_day__lt=first + timedelta(days=count)
    )
    bays: dict[int, int] = {}
    for start, end, more in loans.values_list("first_day", "last_day", "bays"):
        low, high = max((start - first).days, 0), min((end - first).days + 1, count)
        for number in range(low, high):
            bays[number] = bays.get(number, 0) + more
    return bays


def _open_hours(shop: Shop) -> list[tuple[int, float]]:
    rows = ShopHours.objects.filter(shop=shop).values_list("weekday", "opens", "closes")
    return [
        (weekday, (closes.hour - opens.hour) + (closes.minute - opens.minute) / 60)
        for weekday, opens, closes in rows
    ]
