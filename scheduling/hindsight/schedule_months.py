"""Schedule compliance by month: how much stood on lists, how much of it was done when, hours."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any

from fleet.models import KeptDay, Shop
from scheduling.hindsight.list_entries import Deed, Judged, ListEntry, ListOutcome
from scheduling.hindsight.list_outcomes import LONGEST_LATE, judge, matched
from scheduling.hindsight.listed import load_entries
from scheduling.hindsight.service_compliance import last_months
from scheduling.hindsight.work_done import load_circumstances, load_deeds, load_past


@dataclass(frozen=True)
class MonthOfLists:
    """One month's figures; minutes as the lists and the book have them.

    outcomes: entries by outcome.  planned: minutes of the work listed; worked: minutes in the
    book; timed of records give theirs.  beside: records of work that stood on no list.
    days: lists kept; there: minutes that the mechanics had on those days; booked: minutes that
    visits, set-ups and work were planned to take on them.
    """

    first: date
    outcomes: dict[str, int] = field(default_factory=dict)
    planned: int = 0
    worked: int = 0
    records: int = 0
    timed: int = 0
    beside: int = 0
    days: int = 0
    there: int = 0
    booked: int = 0

    @property
    def listed(self) -> int:
        """Entries of lists that are judged."""
        return sum(self.outcomes.values())

    def count(self, outcome: ListOutcome) -> int:
        """How many entries came to this."""
        return self.outcomes.get(outcome, 0)

    @property
    def share(self) -> float | None:
        """Share of the entries that were done on their day; None without any."""
        return self.count(ListOutcome.ON_DAY) / self.listed if self.listed else None

    def as_counts(self) -> dict[str, Any]:
        """Return the figures as the nightly run keeps them."""
        return {**vars(self), "first": self.first.isoformat()}

    @classmethod
    def from_counts(cls, counts: dict[str, Any]) -> "MonthOfLists":
        """Read the figures that a nightly run kept."""
        return cls(**{**counts, "first": date.fromisoformat(counts["first"])})


@dataclass(frozen=True)
class ScheduleCompliance:
    """A span of days judged: every entry, and the work that stood on no list."""

    judged: list[Judged]
    deeds: list[Deed]
    beside: list[Deed]
    days: list[KeptDay]


def schedule_compliance(shop: Shop, first: date, last: date) -> ScheduleCompliance:
    """Judge the lists of these days; a fixed number of queries.  Days to come are not judged."""
    # what was done now can have stood on a list of weeks ago: that is not work beside the lists
    entries = load_entries(shop, first - timedelta(days=LONGEST_LATE), last)
    deeds = load_deeds(shop, first, last)
    here = [deed for deed in deeds if first <= deed.day <= last]
    days = list(KeptDay.objects.filter(shop=shop, day__range=(first, last)))
    return ScheduleCompliance(
        judge(
            [entry for entry in entries if entry.day >= first],
            deeds,
            load_circumstances(shop, first, last),
            load_past(shop, first, last),
        ),
        here,
        _beside(entries, deeds, {day.day for day in days}),
        days,
    )


def _beside(entries: Sequence[ListEntry], deeds: Sequence[Deed], kept: set[date]) -> list[Deed]:
    """Return services done, on days whose lists were kept, that no list had."""
    found = matched(entries, deeds).values()
    on_lists = {deed.pk for deed in found if deed.finding is None}
    return [
        deed for deed in deeds if deed.day in kept and deed.services and deed.pk not in on_lists
    ]


def month_of(first: date, found: ScheduleCompliance) -> MonthOfLists:
    """Add up one month of a schedule compliance."""
    last = month_end(first)
    judged = [each for each in found.judged if first <= each.entry.day <= last]
    deeds = [deed for deed in found.deeds if first <= deed.day <= last and deed.finding is None]
    timed = [deed.minutes for deed in deeds if deed.minutes is not None]
    days = [day for day in found.days if first <= day.day <= last]
    return MonthOfLists(
        first=first,
        outcomes=dict(Counter(str(each.outcome) for each in judged)),
        planned=sum(each.entry.minutes for each in judged if not each.entry.moved),
        worked=sum(timed),
        records=len(deeds),
        timed=len(timed),
        beside=sum(first <= deed.day <= last for deed in found.beside),
        days=len(days),
        there=sum(day.minutes_there for day in days),
        booked=sum(day.minutes for day in days),
    )


def month_end(first: date) -> date:
    """Return the last day of the month that begins on a day."""
    return (first + timedelta(days=32)).replace(day=1) - timedelta(days=1)


def measure_schedule_compliance(shop: Shop, now: datetime) -> list[MonthOfLists]:
    """Return the last twelve months, this one up to yesterday."""
    today = now.astimezone(shop.zone).date()
    firsts = last_months(today)
    found = schedule_compliance(shop, firsts[0], today - timedelta(days=1))
    return [month_of(first, found) for first in firsts]
