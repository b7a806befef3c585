"""Bookings of a past, with the moment at which each thing of them became known."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import inf
from typing import Any
from zoneinfo import ZoneInfo

from fleet.models import Booking, BookingChange, HandOver, Shop
from scheduling.core.replay import PastBooking
from scheduling.facts.yard_days import day_number

LOOK_BACK = 110
"""Days before the first night from which bookings are loaded; habits are learnt over 100."""

BROUGHT_IN_LEAD = 7.0
"""Days before its first by which a booking that was entered afterwards counts as known."""


@dataclass(frozen=True)
class Moments:
    """Turns moments and dates into days from the first night, in the shop's zone."""

    first: int
    zone: ZoneInfo

    def of(self, moment: datetime) -> float:
        """Return a moment as decimal days."""
        local = moment.astimezone(self.zone)
        seconds = local.hour * 3600 + local.minute * 60 + local.second
        return self.day(local.date()) + seconds / 86_400

    def day(self, day: date) -> int:
        """Return a date as a whole number of days."""
        return day_number(day) - self.first


@dataclass(frozen=True)
class BookingsLived:
    """Bookings; said: hours a day that customers named, by booking; late: entered afterwards."""

    bookings: tuple[PastBooking, ...]
    said: dict[int, float]
    late: int


def bookings_lived(
    shop: Shop, moments: Moments, rows: Mapping[int, int], rates: Mapping[int, float], end: date
) -> BookingsLived:
    """Load the bookings of the machines in `rows` (key -> row), three queries.

    rates: money a day by row; end: day up to which bookings are looked at.
    """
    since = date.fromordinal(date(1970, 1, 1).toordinal() + moments.first)
    wanted = Booking.objects.filter(
        machine__yard__shop=shop,
        last_day__gte=since - timedelta(days=LOOK_BACK),
        first_day__lte=end,
    )
    changes, handed = _changes(shop, moments), _handed(shop, moments)
    found, said, late = [], {}, 0
    fields = ("pk", "machine_id", "first_day", "last_day", "value", "made_at", "cancelled_at",
              "hours_a_day")  # fmt: skip
    for row in wanted.order_by("first_day", "pk").values(*fields):
        if row["machine_id"] not in rows:
            continue
        machine = rows[row["machine_id"]]
        booking = _booking(row, machine, rates[machine], moments, changes, handed)
        late += booking.made != moments.of(row["made_at"])
        found.append(booking)
        if row["hours_a_day"] is not None:
            said[booking.key] = row["hours_a_day"]
    return BookingsLived(tuple(found), said, late)


def _booking(
    row: Mapping[str, Any], machine: int, rate: float, moments: Moments,
    changes: Mapping[int, list[tuple[float, int, int]]], handed: Mapping[tuple[int, str], float],
) -> PastBooking:  # fmt: skip
    first, last, key = moments.day(row["first_day"]), moments.day(row["last_day"]), row["pk"]
    made = moments.of(row["made_at"])
    if made > first + 1:
        made = first - BROUGHT_IN_LEAD
    told = changes.get(key, [])
    lasts = [(-inf, told[0][1] if told else last), *((at, new) for at, _, new in told)]
    cancelled = row["cancelled_at"]
    return PastBooking(
        key, machine, made, first, tuple((at, max(first, day)) for at, day in lasts),
        float(row["value"] or rate * (lasts[0][1] - first + 1)),
        inf if cancelled is None else moments.of(cancelled),
        handed.get((key, HandOver.Direction.OUT), inf),
        handed.get((key, HandOver.Direction.BACK), inf),
    )  # fmt: skip


def _changes(shop: Shop, moments: Moments) -> dict[int, list[tuple[float, int, int]]]:
    """Return moves of last days by booking: moment, old and new last day."""
    found: dict[int, list[tuple[float, int, int]]] = defaultdict(list)
    rows = BookingChange.objects.filter(booking__machine__yard__shop=shop).order_by("at", "pk")
    for key, at, old, new in rows.values_list("booking", "at", "old_last_day", "new_last_day"):
        found[key].append((moments.of(at), moments.day(old), moments.day(new)))
    return found


def _handed(shop: Shop, moments: Moments) -> dict[tuple[int, str], float]:
    rows = HandOver.objects.filter(booking__machine__yard__shop=shop).order_by()
    return {
        (key, direction): moments.of(at)
        for key, direction, at in rows.values_list("booking_id", "direction", "at")
    }
