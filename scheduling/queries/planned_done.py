"""Planned and done: twelve months of figures, and one month's entries behind them."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from fleet.charts import MonthBar
from fleet.models import Service, ServiceRecord, Shop
from fleet.saying import MONTH, counted, say_minutes, say_percent
from scheduling.hindsight.list_entries import WORDS, Deed, Judged, ListOutcome
from scheduling.hindsight.schedule_months import (
    MonthOfLists,
    ScheduleCompliance,
    month_end,
    month_of,
    schedule_compliance,
)
from scheduling.hindsight.service_compliance import last_months
from scheduling.models import NightlyRun
from scheduling.queries.narrowed_yard import YardNarrowing

STAGE = "lists"
"""Stage of the nightly run that keeps the figures in its report."""

BESIDE = "beside"
"""Choice of the list of work that stood on no list."""


@dataclass(frozen=True)
class Figure:
    """One figure of a month, with the choice that lists what is behind it."""

    key: str
    words: str
    count: int
    share: float | None = None


@dataclass(frozen=True)
class PlannedDone:
    """What the page shows; counted_on: day of the night that counted the months.

    narrows: the month is that of a choice of machines or services, the twelve months of all.
    """

    months: Sequence[MonthOfLists]
    month: MonthOfLists
    found: ScheduleCompliance
    counted_on: date | None
    narrows: bool = False

    @property
    def figures(self) -> list[Figure]:
        """The month's outcomes, all of them, with their shares."""
        listed = self.month.listed or 1
        return [
            Figure(each, WORDS[each], n := self.month.count(each), n / listed)
            for each in ListOutcome
        ]

    @property
    def reasons(self) -> list[tuple[str, int]]:
        """Why work was not done on its day, the commonest first."""
        off = [each.why for each in self.found.judged if each.outcome != ListOutcome.ON_DAY]
        return Counter(off).most_common()

    @property
    def says(self) -> str:
        """Say the month in a sentence."""
        month = self.month
        if month.share is None and self.narrows:
            return f"Nothing of what is chosen was on a day's list in {month_name(month.first)}."
        if month.share is None:
            return f"No day's list from {month_name(month.first)} is complete yet."
        return (
            f"{say_percent(month.share)} of what was on the day's list in "
            f"{month_name(month.first)} was done that day: "
            f"{month.count(ListOutcome.ON_DAY):,} of {month.listed:,}."
        )

    @property
    def says_hours(self) -> str:
        """Say hours planned and hours worked, and how many records those are known from."""
        month = self.month
        if not month.days:
            return ""
        planned = (
            f"On {counted(month.days, 'day')} the lists came to {say_minutes(month.booked)} with "
            f"visits and set-ups, out of {say_minutes(month.there)} available; "
            f"the work alone {say_minutes(month.planned)}."
        )
        if self.narrows:  # visits, set-ups and hours there belong to no machine
            planned = f"The work chosen came to {say_minutes(month.planned)} on the lists."
        if not month.timed:
            return f"{planned} No entry that month says how long it took."
        known = "" if month.timed == month.records else (
            f" ({month.timed} of {month.records} records say how long)"
        )  # fmt: skip
        return f"{planned} The book has {say_minutes(month.worked)} of work{known}."

    def behind(self, what: str) -> list[Judged]:
        """Return the entries behind a figure, or all that were not done on their day."""
        if what:
            return [each for each in self.found.judged if each.outcome == what]
        return [each for each in self.found.judged if each.outcome != ListOutcome.ON_DAY]

    def beside(self) -> list[ServiceRecord]:
        """Return the work that stood on no list; one query."""
        rows = ServiceRecord.objects.filter(pk__in=[deed.pk for deed in self.found.beside])
        return list(rows.select_related("machine__yard", "service", "done_by").order_by("done_at"))

    @property
    def bars(self) -> list[MonthBar]:
        """The twelve months for the chart."""
        return [
            MonthBar(
                month_name(m.first),
                m.count(ListOutcome.ON_DAY),
                m.count(ListOutcome.EARLIER) + m.count(ListOutcome.LATER),
                m.count(ListOutcome.PUT_OFF),
                m.count(ListOutcome.NOT_DONE),
            )
            for m in self.months
        ]


def month_name(first: date) -> str:
    """Return a month as "Mar 2026"."""
    return f"{MONTH[first.month - 1]} {first.year}"


def kept_months(shop: Shop, now: datetime) -> tuple[list[MonthOfLists], date | None]:
    """Return the twelve months as the last night counted them, and the day of that night."""
    run = NightlyRun.objects.filter(shop=shop, finished_at__isnull=False).first()
    kept = run.report.get("stages", {}).get(STAGE, {}).get("months", []) if run else []
    counts = {month.first: month for month in map(MonthOfLists.from_counts, kept)}
    firsts = last_months(now.astimezone(shop.zone).date())
    months = [counts.get(first) or MonthOfLists(first) for first in firsts]
    return months, run.day if run and kept else None


def planned_done(
    shop: Shop, now: datetime, first: date | None, wanted: YardNarrowing | None = None
) -> PlannedDone:
    """Return the page of a month: the asked one, else the last of which there is anything.

    wanted: machines and services to which the month is narrowed down.
    """
    yesterday = now.astimezone(shop.zone).date() - timedelta(days=1)
    months, counted_on = kept_months(shop, now)
    latest = next((m.first for m in reversed(months) if m.listed), months[-1].first)
    first = first or latest
    found = schedule_compliance(shop, first, min(month_end(first), yesterday))
    month = month_of(first, found)
    shown = [month if m.first == first else m for m in months]
    if wanted is None or not wanted.narrows:
        return PlannedDone(shown, month, found, counted_on)
    chosen = _chosen(found, wanted.machine_ids(shop), wanted.service)
    return PlannedDone(shown, month_of(first, chosen), chosen, counted_on, narrows=True)


def _chosen(
    found: ScheduleCompliance, machines: set[int], service: Service | None
) -> ScheduleCompliance:
    """Return what was listed and done on some machines, and of one service if it is named."""

    def done(deeds: Sequence[Deed]) -> list[Deed]:
        here = [deed for deed in deeds if deed.machine in machines]
        return [deed for deed in here if service is None or service.pk in deed.services]

    judged = [
        each
        for each in found.judged
        if each.entry.machine in machines and (service is None or each.entry.service == service.pk)
    ]
    return replace(found, judged=judged, deeds=done(found.deeds), beside=done(found.beside))
