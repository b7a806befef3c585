"""Number what the calendar says of each day: a change makes a revision, a repetition none.

The number is that of the minute of the change, counted from the beginning of 2026, or one more
than the last: so it never falls, even where the schedule was dropped and built again from facts
and the rows here with it (RFC 5545, 3.8.7.4: SEQUENCE grows monotonically).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from fleet.models import Shop
from scheduling.calendar.calendar_days import ShopDayEvent, mechanic_days
from scheduling.due.row_writing import write_difference
from scheduling.models import CalendarDay

EPOCH = datetime(2026, 1, 1, tzinfo=UTC)
REMEMBERED = timedelta(days=60)
"""For so long the numbers of days that are over are kept."""
KEYS = ("mechanic_id", "day")
FIELDS = ("said", "sequence", "revised_at")


@dataclass(frozen=True)
class Revision:
    """The number of a day's revision, and when it was made."""

    sequence: int
    at: datetime


def minute_of(moment: datetime) -> int:
    """Return the minute of a moment, counted from the beginning of 2026; never below 0."""
    return max(0, int((moment - EPOCH).total_seconds() // 60))


def revise(shop: Shop, now: datetime) -> int:
    """Number the days of a shop's plan whose words changed; how many rows were written."""
    days = mechanic_days(shop)
    rows = CalendarDay.objects.filter(mechanic__in={each.mechanic.pk for each in days})
    stood = {(row.mechanic_id, row.day): row for row in rows}
    wanted: dict[tuple[object, ...], tuple[object, ...]] = {
        (row.mechanic_id, row.day): (row.said, row.sequence, row.revised_at)
        for row in rows
        if row.day >= (now - REMEMBERED).date()
    }
    for each in days:
        row = stood.get((each.mechanic.pk, each.day))
        if row is None or row.said != each.digest:
            number = max(minute_of(now), row.sequence + 1 if row else 0)
            wanted[each.mechanic.pk, each.day] = (each.digest, number, now)
    written = write_difference(rows, (KEYS, FIELDS), wanted)
    return written.created + written.updated


def revisions(days: Iterable[ShopDayEvent]) -> dict[tuple[int, object], Revision]:
    """Return the revisions of days, by mechanic and day; one query."""
    rows = CalendarDay.objects.filter(mechanic__in={each.mechanic.pk for each in days})
    return {(row.mechanic_id, row.day): Revision(row.sequence, row.revised_at) for row in rows}
