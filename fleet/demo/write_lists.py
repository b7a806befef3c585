"""What stood on the demo shop's lists in the past, told backwards from its service book.

The book is what the simulation gave.  The lists are invented around it as such a shop would have
had them: most work stood on the list of the day on which it was done; some had stood on an earlier
list and was put off with a reason, or slipped without one; some was done a day before its turn and
written down late; some came in unasked and stood on no list.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import groupby

import numpy as np

from fleet.actions.keep_day import DayList, keep_day
from fleet.demo.day_numbers import Clock
from fleet.demo.write_places import DemoShop
from fleet.models import (
    Booking,
    ClosedDay,
    KeptDay,
    KeptWork,
    PutOff,
    ServiceRecord,
    Shop,
    WorkingHours,
)
from fleet.queries.standing_records import standing_records
from fleet.work_keys import service_key

UNASKED, PUT_OFF, SLIPPED, WRITTEN_LATE = 0.04, 0.06, 0.04, 0.02
"""Shares of visits that did not run as their list had them (invented)."""
LONGEST_SLIP = 5
"""Open days by which work slips at most."""
VISIT_MINUTES = 30
"""Of each visit, beside its work."""
DAYS_KEPT = 365


@dataclass(frozen=True)
class ListTelling:
    """What the lists are told with: reasons of put-offs, moments of days, the seed."""

    reasons: Sequence[str]
    clock: Clock
    seed: int


class Lists:
    """Lists of one shop's days in a span, filled visit by visit."""

    def __init__(self, place: DemoShop, span: tuple[date, date], told: ListTelling) -> None:
        self.place, self.told = place, told
        self.days = _open_days(place.shop, *span)
        self.turn = {day: n for n, day in enumerate(self.days)}
        self.out = _out(place.shop, *span)
        self.rng = np.random.default_rng([told.seed, span[0].toordinal(), place.shop.pk])
        self.work: dict[date, list[KeptWork]] = {day: [] for day in self.days}
        self.put_off: list[PutOff] = []
        self.late: list[ServiceRecord] = []

    def add(self, day: date, visit: Sequence[ServiceRecord]) -> None:
        """Put one visit on the list of its day, and of another where it had been meant for that."""
        fate, slip = float(self.rng.random()), int(self.rng.integers(1, LONGEST_SLIP + 1))
        reason = str(self.rng.choice(self.told.reasons))
        if day not in self.turn or fate < UNASKED:
            return
        before, after = self._before(day, slip, visit[0].machine_id), self._after(day)
        if before and fate < UNASKED + PUT_OFF + SLIPPED:
            self._list(before, visit)
            if fate < UNASKED + PUT_OFF:
                self.put_off += [self._put_off(record, before, reason) for record in visit]
        elif after and fate > 1 - WRITTEN_LATE:
            self._write_late(after, visit)
            return
        self._list(day, visit)

    def _before(self, day: date, slip: int, machine: int) -> date | None:
        """Return the open day so many before, if the machine was in on it."""
        turn = self.turn[day] - slip
        found = self.days[turn] if turn >= 0 else None
        return found if found and (machine, found) not in self.out else None

    def _after(self, day: date) -> date | None:
        turn = self.turn[day] + 1
        return self.days[turn] if turn < len(self.days) else None

    def _list(self, day: date, visit: Iterable[ServiceRecord]) -> None:
        self.work[day] += [_row(record) for record in visit]

    def _write_late(self, day: date, visit: Sequence[ServiceRecord]) -> None:
        """The work stood on the next day's list, since nobody had written it down yet."""
        self._list(day, visit)
        for record in visit:
            record.entered_at = self.told.clock.at(day.toordinal(), 9 * 60)
        self.late += visit

    def _put_off(self, record: ServiceRecord, day: date, reason: str) -> PutOff:
        return PutOff(
            machine=record.machine,
            work_key=_key(record),
            day=day,
            reason=reason,
            by=record.done_by or self.place.manager,
            at=self.told.clock.at(day.toordinal(), 15 * 60),
        )

    def write(self) -> None:
        """Write the lists of days that were not kept yet, and what goes with them."""
        there = _minutes_there(self.place.shop)
        for day, rows in self.work.items():
            unique = {row.work_key: row for row in rows}
            visits = len({row.machine_id for row in unique.values()})
            minutes = visits * VISIT_MINUTES + sum(row.minutes for row in unique.values())
            listed = DayList(day, minutes, there.get(day.weekday(), 0), list(unique.values()))
            keep_day(self.place.shop, listed, now=self._night(day))
        PutOff.objects.bulk_create(self.put_off, batch_size=500, ignore_conflicts=True)
        ServiceRecord.objects.bulk_update(self.late, ["entered_at"], batch_size=500)

    def _night(self, day: date) -> datetime:
        return self.told.clock.at(day.toordinal(), 2 * 60)


def write_lists(place: DemoShop, span: tuple[date, date], told: ListTelling) -> None:
    """Write a shop's lists from the first day of a span up to the last; kept days stay as they are.

    What people wrote through the site's own forms was not done by the simulation: it stays out.
    """
    lists = Lists(place, span, told)
    kept = set(KeptDay.objects.filter(shop=place.shop).values_list("day", flat=True))
    start, end = place.shop.span_of(span[0])[0], place.shop.span_of(span[1])[1]
    rows = (
        standing_records().filter(
            machine__yard__shop=place.shop, done_at__gte=start, done_at__lt=end, form_key=None,
            service__isnull=False, corrects=None,
        )
        .select_related("machine", "service", "done_by")
        .order_by("done_at", "machine__tag", "pk")
    )  # fmt: skip
    zone = place.shop.zone
    visits = sorted(rows, key=lambda r: (r.done_at.astimezone(zone).date(), r.machine.tag))
    by_visit = groupby(visits, lambda r: (r.done_at.astimezone(zone).date(), r.machine_id))
    for (day, _), visit in by_visit:
        if day not in kept:
            lists.add(day, list(visit))
    lists.write()


def _key(record: ServiceRecord) -> str:
    assert record.service_id is not None  # the lists are told of services alone
    return service_key(record.machine_id, record.service_id)


def _row(record: ServiceRecord) -> KeptWork:
    service = record.service
    return KeptWork(
        machine=record.machine,
        work_key=_key(record),
        title=str(service),
        service=service,
        mechanic=record.done_by,
        minutes=service.minutes if service else 0,
    )


def _open_days(shop: Shop, first: date, last: date) -> list[date]:
    open_on = set(shop.hours.values_list("weekday", flat=True))
    closed = set(ClosedDay.objects.filter(shop=shop, yard=None).values_list("day", flat=True))
    days = (first + timedelta(days=n) for n in range((last - first).days + 1))
    return [day for day in days if day.weekday() in open_on and day not in closed]


def _out(shop: Shop, first: date, last: date) -> set[tuple[int, date]]:
    """Return every day on which a machine was out with a customer."""
    rows = Booking.objects.filter(
        machine__yard__shop=shop, machine__yard__remote=False,
        first_day__lte=last, last_day__gte=first, cancelled_at=None,
    )  # fmt: skip
    return {
        (machine, start + timedelta(days=n))
        for machine, start, end in rows.values_list("machine_id", "first_day", "last_day")
        for n in range((end - start).days + 1)
    }


def _minutes_there(shop: Shop) -> dict[int, int]:
    """Return minutes that the mechanics have, by weekday."""
    there: dict[int, int] = {}
    rows = WorkingHours.objects.filter(person__shop=shop, person__is_active=True)
    for weekday, hours in rows.values_list("weekday", "hours"):
        there[weekday] = there.get(weekday, 0) + round(60 * hours)
    return there
