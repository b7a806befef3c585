"""From days and times of day in a yard to the moments between which a machine is promised; pure.

A time that the clock change skips or repeats is read as RFC 5545, 3.3.5 reads it: one that does not
occur by the offset before the gap, one that occurs twice as its first occurrence.  A day without a
time is the whole day, be it of 23, 24 or 25 hours.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from fleet.saying import short_date

MIDNIGHT = time()
DAY = timedelta(days=1)
EARLIEST, LATEST = date(1, 1, 3), date(9999, 12, 28)
"""Days that are days in every time zone of the calendar that a computer counts by."""


@dataclass(frozen=True)
class PromisedDays:
    """What a booking says: days of the yard, and the times of day on the first and the last."""

    first_day: date
    last_day: date
    from_time: time | None = None
    to_time: time | None = None

    @property
    def backwards(self) -> bool:
        """Whether it ends before it starts, or as it starts."""
        if self.first_day != self.last_day:
            return self.last_day < self.first_day
        return self.to_time is not None and self.to_time <= (self.from_time or MIDNIGHT)


def moment(day: date, at: time, zone: ZoneInfo) -> datetime:
    """Return the moment of a day and time of a place, in UTC."""
    day = min(max(day, EARLIEST), LATEST)
    return datetime.combine(day, at.replace(tzinfo=None, fold=0), zone).astimezone(UTC)


def span_of(
    days: PromisedDays, zone: ZoneInfo, *, made_at: datetime, turn_round: timedelta
) -> tuple[datetime, datetime]:
    """Return the moments at which a promise starts and ends, the end left out.

    One that is made on its first day starts when it is made, so that a machine that came back at
    noon can be let again at one.  turn_round: what passes after a time of return before the next
    customer; after a whole day the night does for it.
    """
    starts = moment(days.first_day, days.from_time or MIDNIGHT, zone)
    if days.to_time is None:
        ends = moment(min(days.last_day, LATEST) + DAY, MIDNIGHT, zone)
    else:
        ends = moment(days.last_day, days.to_time, zone) + turn_round
    made_here = made_at.astimezone(zone).date() if made_at.year > 1 else None
    if made_here == days.first_day and made_at < ends:
        starts = max(starts, made_at.astimezone(UTC))
    return starts, max(starts, ends)


def due_back(days: PromisedDays, zone: ZoneInfo) -> datetime:
    """Return the moment by which a machine is to be back, its turn-round not counted."""
    if days.to_time is None:
        return moment(min(days.last_day, LATEST) + DAY, MIDNIGHT, zone)
    return moment(days.last_day, days.to_time, zone)


def say_booked(days: PromisedDays, today: date) -> str:
    """Return "Wed 2 Dec to Fri 4 Dec", with the times of day where there are any."""
    first, last = short_date(days.first_day, today), short_date(days.last_day, today)
    start = f"{first}, {days.from_time:%H:%M}," if days.from_time else first
    if days.first_day == days.last_day and (days.from_time or days.to_time):
        until = f"{days.to_time:%H:%M}" if days.to_time else "the evening"
        return f"{first}, {days.from_time or MIDNIGHT:%H:%M} to {until}"
    if days.first_day == days.last_day:
        return first
    return f"{start} to {last}" + (f", {days.to_time:%H:%M}" if days.to_time else "")
