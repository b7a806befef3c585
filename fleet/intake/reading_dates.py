"""Dates and times as files and people write them, in a yard's zone.

ISO 8601 first, then forms that can be read in one way only.  A date that could be two days is
refused.  A local time that a clock change skips is refused; one that it repeats is its first
occurrence (RFC 5545 section 3.3.5, 2009).
"""

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, tzinfo
from functools import lru_cache

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
NOON = time(12)

ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:(?:T|\s+)(.+))?", re.IGNORECASE)
SLASHES = re.compile(r"(\d{1,2})([./-])(\d{1,2})\2(\d{4})(?:,?\s+(.+))?")
YEAR_FIRST = re.compile(r"(\d{4})([./])(\d{1,2})\2(\d{1,2})(?:\s+(.+))?")
DAY_MONTH = re.compile(
    r"(?:[a-z]{3,9},?\s+)?(\d{1,2})\.?[\s-]([a-z]{3,9})\.?[\s,-]+(\d{4})(?:,?\s+(.+))?",
    re.IGNORECASE,
)
MONTH_DAY = re.compile(
    r"(?:[a-z]{3,9},?\s+)?([a-z]{3,9})\.?\s+(\d{1,2}),?\s+(\d{4})(?:,?\s+(.+))?", re.IGNORECASE
)
TIME = re.compile(
    r"(\d{1,2})[:.](\d{2})(?:[:.](\d{2})(?:\.\d+)?)?\s*([ap]m)?\s*(z|utc|[+-]\d{2}:?\d{2})?",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class When:
    """A moment in UTC; day_only: only the day was written, and `at` is its noon."""

    at: datetime
    day_only: bool = False


@lru_cache(maxsize=20_000)  # the machines of a file are read on the same days
def parse_when(text: str, zone: tzinfo, now: datetime) -> When:
    """Read a date, with or without a time, as written in a yard.

    Raises:
        ValueError: with a sentence for the person who wrote it.

    """
    written = " ".join(text.split())
    if not written:
        raise ValueError("No date is given; write when the meter was read, such as 2026-03-02.")
    day, clock = _day(written)
    if not clock:
        return _only_day(day, zone, now)
    moment, offset = _time(clock, written)
    local = datetime.combine(day, moment)
    if offset is not None:
        return When(local.replace(tzinfo=offset).astimezone(UTC))
    return When(in_zone(local, zone))


def in_zone(local: datetime, zone: tzinfo) -> datetime:
    """Return a wall clock time of a yard in UTC; one that a clock change skips is refused."""
    moment = local.replace(tzinfo=zone).astimezone(UTC)
    if moment.astimezone(zone).replace(tzinfo=None) != local:
        raise ValueError(
            f"{local:%H:%M} on {local.date()} never was: the clocks went forward then."
            " Write the time an hour later."
        )
    return moment


def _only_day(day: date, zone: tzinfo, now: datetime) -> When:
    """Put a day without a time at noon, or at its start while noon is still to come."""
    noon = datetime.combine(day, NOON, zone).astimezone(UTC)
    if noon > now:
        start = datetime.combine(day, time(), zone).astimezone(UTC)
        return When(start, day_only=True)
    return When(noon, day_only=True)


def _day(written: str) -> tuple[date, str]:
    if match := ISO.fullmatch(written) or YEAR_FIRST.fullmatch(written):
        parts = [part for part in match.groups() if part is None or part not in "./"]
        return _date(parts[0], parts[1], parts[2], written), parts[3] or ""
    if match := DAY_MONTH.fullmatch(written):
        day, month, year, clock = match.groups()
        return _date(year, _month(month, written), day, written), clock or ""
    if match := MONTH_DAY.fullmatch(written):
        month, day, year, clock = match.groups()
        return _date(year, _month(month, written), day, written), clock or ""
    if match := SLASHES.fullmatch(written):
        return _slashes(match, written), match[5] or ""
    raise ValueError(f"“{written}” is not a date that can be read; write it as 2026-03-02 14:30.")


def _slashes(match: re.Match[str], written: str) -> date:
    """Read 3/25/2026 or 25/3/2026; with points the day comes first (DIN 5008, from memory)."""
    first, mark, second, year = match[1], match[2], match[3], match[4]
    if mark == "." or int(first) > 12:
        return _date(year, second, first, written)
    if int(second) > 12 or int(first) == int(second):
        return _date(year, first, second, written)
    one, other = _date(year, first, second, written), _date(year, second, first, written)
    raise ValueError(f"“{written}” can be {one} or {other}; write the year first, as in {one}.")


def _month(name: str, written: str) -> str:
    short = name[:3].lower()
    if short not in MONTHS:
        raise ValueError(f"“{name}” in “{written}” is not a month; write it as 2026-03-02.")
    return str(MONTHS.index(short) + 1)


def _date(year: str | None, month: str | None, day: str | None, written: str) -> date:
    try:
        return date(int(year or 0), int(month or 0), int(day or 0))
    except ValueError:
        raise ValueError(f"“{written}” is not a day of the calendar; look at it again.") from None


def _time(clock: str, written: str) -> tuple[time, tzinfo | None]:
    match = TIME.fullmatch(clock.strip())
    if not match:
        raise ValueError(f"“{clock}” in “{written}” is not a time; write it as 14:30.")
    hour, minute, second = int(match[1]), int(match[2]), int(match[3] or 0)
    if match[4]:
        if not 1 <= hour <= 12:
            raise ValueError(f"“{clock}” in “{written}” is not a time; write it as 14:30.")
        hour = hour % 12 + (12 if match[4].lower() == "pm" else 0)
    try:
        moment = time(hour, minute, second)
    except ValueError:
        raise ValueError(f"“{clock}” in “{written}” is not a time; write it as 14:30.") from None
    return moment, _offset(match[5])


def _offset(text: str | None) -> tzinfo | None:
    if not text:
        return None
    if text.lower() in ("z", "utc"):
        return UTC
    return datetime.strptime(text.replace(":", ""), "%z").tzinfo
