"""The bookings of a calendar feed, each with the moment at which it was last revised."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Max, QuerySet

from fleet.models import Booking, BookingChange, FeedKey, HandOver, LoggedChange

BEHIND, AHEAD = timedelta(days=60), timedelta(days=400)
"""How far back and ahead a feed reaches: a phone keeps what lies further back by itself."""

KIND = str(Booking._meta.verbose_name)
"""How the change log calls a booking."""


@dataclass(frozen=True)
class FeedBooking:
    """One booking as a feed shows it."""

    booking: Booking
    revised_at: datetime
    is_out: bool
    is_back: bool


def feed_bookings(key: FeedKey, today: date) -> list[FeedBooking]:
    """Return what an address shows, by first day; four queries, however many bookings."""
    rows = _shown(key, today)
    listed = list(rows.select_related("machine__makeup__machine_class", "machine__yard"))
    handed, changed = _handed(rows), _changed(rows)
    found = []
    for row in listed:
        ways = handed.get(row.pk, {})
        moments = [row.made_at, row.cancelled_at, *changed.get(row.pk, ()), *ways.values()]
        latest = max(at for at in moments if at)
        found.append(FeedBooking(row, latest, "out" in ways, "back" in ways))
    return found


def _shown(key: FeedKey, today: date) -> QuerySet[Booking]:
    rows = Booking.objects.filter(
        machine__yard__shop=key.shop, last_day__gte=today - BEHIND, first_day__lte=today + AHEAD
    )
    if key.machine_id:
        rows = rows.filter(machine=key.machine_id)
    elif key.yard_id:
        rows = rows.filter(machine__yard=key.yard_id)
    return rows.order_by("first_day", "pk")


def _handed(rows: QuerySet[Booking]) -> dict[int, dict[str, datetime]]:
    """Return booking -> way -> when it went, or came back, that way."""
    found: dict[int, dict[str, datetime]] = {}
    made = HandOver.objects.filter(booking__in=rows.order_by().values("pk"))
    for booking, way, at in made.values_list("booking_id", "direction", "at"):
        found.setdefault(booking, {})[way] = at
    return found


def _changed(rows: QuerySet[Booking]) -> dict[int, list[datetime]]:
    """Return booking -> when its last day was moved last, and when else it was changed last."""
    keys = rows.order_by().values("pk")
    moved = BookingChange.objects.filter(booking__in=keys).values_list("booking_id")
    logged = LoggedChange.objects.filter(kind=KIND, subject_id__in=keys).values_list("subject_id")
    found: dict[int, list[datetime]] = {}
    for booking, at in [
        *moved.annotate(Max("at")).order_by(), *logged.annotate(Max("at")).order_by()
    ]:  # fmt: skip
        found.setdefault(booking, []).append(at)
    return found
