"""From moments in UTC to days of a yard.

A day number counts days since 1970-01-01.  Days of use are counted from the yard's own today (0),
so that machines of yards with different dates stand in one frame.
"""

from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime, timedelta
from functools import cache
from typing import Any, cast
from zoneinfo import ZoneInfo

import numpy as np
from django.db import connection
from django.db.models import Expression, F, FloatField, Func, TextField
from django.db.models.functions import Cast
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]
Days = NDArray[np.datetime64]

EPOCH_ORDINAL = date(1970, 1, 1).toordinal()
DAY = 86_400.0
"""Seconds."""
MILLION = 1e6
"""Microseconds of a second."""
QUARTER = 900
"""Seconds; the offset of a zone from UTC changes at full quarters of an hour (tz database)."""
NO_DAY = np.datetime64("NaT", "D")


def day_number(day: date) -> int:
    """Return the days from 1970-01-01 to a date."""
    return day.toordinal() - EPOCH_ORDINAL


def from_number(number: float) -> date:
    """Return the date of a day number."""
    return date.fromordinal(int(number) + EPOCH_ORDINAL)


def as_days(days: Iterable[date | None]) -> Days:
    """Return dates as datetime64[D], NaT for none."""
    return np.array([NO_DAY if d is None else np.datetime64(d, "D") for d in days], "datetime64[D]")


class _Seconds(Func):
    """Seconds since 1970-01-01 UTC, counted by PostgreSQL."""

    template = "date_part('epoch', %(expressions)s)"
    output_field = FloatField()

    def get_db_converters(self, connection: Any) -> list[Any]:
        """Return none: what comes is a float, and there are a million of them."""
        return []


def as_stored(field: str) -> Expression:
    """Return moments of a table as `seconds` takes them, without a datetime for each.

    SQLite keeps them as text in UTC, which numpy reads at one go; PostgreSQL counts the seconds
    itself.  To make a datetime of each took a quarter of the time in which a large fleet's
    readings are loaded and worked out.
    """
    if connection.vendor == "sqlite":
        return Cast(field, TextField())
    return _Seconds(F(field))


def seconds(moments: Sequence[datetime] | Sequence[str] | Sequence[float]) -> Floats:
    """Return moments, texts of moments in UTC, or seconds as seconds since 1970-01-01 UTC."""
    if moments and isinstance(moments[0], str):
        return np.array(moments, dtype="datetime64[us]").astype(np.int64) / MILLION
    if moments and isinstance(moments[0], datetime):
        dated = cast("Sequence[datetime]", moments)
        return np.array([moment.timestamp() for moment in dated], dtype=np.float64)
    return np.array(moments, dtype=np.float64)


@cache
def zone_of(name: str) -> ZoneInfo:
    """Return a time zone; UTC where the name is none, since the nightly run goes on."""
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        return ZoneInfo("UTC")


def local_days(stamps: Floats, zone: Ints, zones: Sequence[ZoneInfo]) -> Floats:
    """Return moments as local days since 1970-01-01, the fraction being the time of day.

    stamps: seconds since 1970-01-01 UTC, shape (n,); zone: index of each one's zone, shape (n,).
    """
    local = stamps.copy()
    for number, where in enumerate(zones):
        at = np.flatnonzero(zone == number)
        quarters, which = np.unique(np.floor(stamps[at] / QUARTER), return_inverse=True)
        offsets = np.array([_offset(quarter * QUARTER, where) for quarter in quarters])
        if at.size:
            local[at] += offsets[which]
    return local / DAY


def _offset(stamp: float, zone: ZoneInfo) -> float:
    offset = datetime.fromtimestamp(stamp, UTC).astimezone(zone).utcoffset() or timedelta()
    return offset.total_seconds()
