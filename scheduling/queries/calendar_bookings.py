"""The bookings of a calendar, read once: the bars that it shows, and the promises that bar days.

Most are both, and a yard of 500 machines has ten thousand of them in half a year.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import OuterRef, Q, QuerySet, Subquery

from fleet.booked_times import LATEST, MIDNIGHT, moment
from fleet.models import Booking, HandOver
from scheduling.availability.counter_facts import Days

UNSEEN = ("value", "made_by", "cancelled_by", "form_key", "hire", "stood_double")
"""Fields of a booking that no line shows."""
ANY_ZONE = timedelta(days=2)
"""What begins a day behind another in any zone, begins so much later by the clock of one."""


@dataclass(frozen=True)
class CalendarBookings:
    """By machine: shown, with gone_at and back_at beside each; promised, with is_out and is_back.

    until: the last day of what is shown.
    """

    shown: Mapping[int, Sequence[Any]]
    promised: Mapping[int, Sequence[Any]]
    until: date


def calendar_bookings(
    ids: Sequence[int], days: Days, today: date, now: datetime | None
) -> CalendarBookings:
    """Return the bookings of machines; two queries at most.

    What stands against a booking is asked to its end: if one goes on behind the days, promises up
    to there are read, too.
    """
    within = _begins_by(days.last)
    rows = list(_bookings(ids).filter(_shown(days) | _promised(today, now) & within))
    shown, promised = defaultdict(list), defaultdict(list)
    until = days.last
    for row in rows:
        if _is_shown(row, days):
            shown[row.machine_id].append(row)
            until = max(until, row.last_day)
    if until > days.last:
        further = _promised(today, now) & _begins_by(until) & ~within
        known = {row.pk for row in rows}
        rows += [row for row in _bookings(ids).filter(further) if row.pk not in known]
    ends = _moment_after(until)
    for row in rows:
        row.is_out, row.is_back = row.gone_at is not None, row.back_at is not None
        if row.starts_at is not None and row.starts_at < ends and _is_promised(row, today, now):
            promised[row.machine_id].append(row)
    return CalendarBookings(shown, promised, until)


def _bookings(ids: Sequence[int]) -> QuerySet[Any]:
    """Return the bookings that stand, with the moments of their hand-overs beside each."""
    handed = HandOver.objects.filter(booking=OuterRef("pk")).values("at")
    rows: QuerySet[Any] = Booking.objects.filter(machine__in=ids, cancelled_at=None).annotate(
        gone_at=Subquery(handed.filter(direction=HandOver.Direction.OUT)[:1]),
        back_at=Subquery(handed.filter(direction=HandOver.Direction.BACK)[:1]),
    )
    return rows.defer(*UNSEEN).order_by("first_day", "pk")


STILL_OUT = Q(gone_at__isnull=False, back_at=None)


def _shown(days: Days) -> Q:
    """What touches the days, or is still out."""
    return STILL_OUT | Q(first_day__lte=days.last, last_day__gte=days.first)


def _is_shown(row: Any, days: Days) -> bool:
    if row.gone_at is not None and row.back_at is None:
        return True
    return bool(row.first_day <= days.last and row.last_day >= days.first)


def _promised(today: date, now: datetime | None) -> Q:
    """What is to come or still out, and what is back while its machine is made ready again."""
    wanted = STILL_OUT | Q(back_at=None, last_day__gte=today)
    return wanted if now is None else wanted | Q(ends_at__gt=now)


def _is_promised(row: Any, today: date, now: datetime | None) -> bool:
    if now is not None and row.ends_at > now:
        return True
    return not row.is_back and (row.is_out or row.last_day >= today)


def _begins_by(last: date) -> Q:
    return Q(starts_at__lt=_moment_after(last))


def _moment_after(last: date) -> datetime:
    """Return a moment at which nothing that touches a day in any zone begins."""
    if last >= LATEST - ANY_ZONE:
        return datetime.max.replace(tzinfo=UTC)
    return moment(last + ANY_ZONE, MIDNIGHT, ZoneInfo("UTC"))
