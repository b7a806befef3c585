"""Days and times of day as people write them on forms.

What can be read in one way only goes to `reading_dates`.  On a form the yard says what 3/4 means:
where it counts in miles the month comes first, else the day (common practice); the page shows what
was understood.  A day without a year is the latest one that is not still to come.
"""

import re
from datetime import UTC, date, datetime, time, timedelta

from fleet.intake.reading_dates import MONTHS, parse_when

SHORT = re.compile(r"(\d{1,2})\s*[/.-]\s*(\d{1,2})(?:\s*[/.-]\s*(\d{2}|\d{4}))?\.?")
NAMED = re.compile(
    r"(?:(\d{1,2})\.?\s*([a-z]{3,9})|([a-z]{3,9})\.?\s*(\d{1,2}))\.?,?", re.IGNORECASE
)
WITH_TWO = re.compile(r"(.*[a-z].*)[\s,'’/-]+(\d{2})", re.IGNORECASE)
CLOCK = re.compile(
    r"(\d{1,2})(?:[:.h](\d{2}))?(?::\d{2})?\s*(?:([ap])\.?\s?m?\.?|h|uhr|o'clock)?", re.IGNORECASE
)
WORDS = {"today": 0, "yesterday": 1}


def parse_day(text: str, today: date, *, month_first: bool) -> date:
    """Return the day that was written.

    today: of the yard.  month_first: how 3/4 is meant there.

    Raises:
        ValueError: with a sentence for the person who wrote it.

    """
    written = " ".join(text.split())
    if written.lower() in WORDS:
        return today - timedelta(days=WORDS[written.lower()])
    if match := SHORT.fullmatch(written):
        return _short(match, written, today, month_first=month_first)
    if match := NAMED.fullmatch(written):
        return _latest(
            _month(match[2] or match[3], written), int(match[1] or match[4]), today, written
        )
    if (match := WITH_TWO.fullmatch(written)) and not re.search(r"\d{4}", written):
        written = f"{match[1]} {_century(int(match[2]), today)}"
    moment = parse_when(written, UTC, datetime.combine(date.max, time(), UTC))
    return moment.at.date()


def _short(match: re.Match[str], written: str, today: date, *, month_first: bool) -> date:
    """Read 3/4, 3/4/26, 3/4/2026; a point between them puts the day first (DIN 5008)."""
    first, second = int(match[1]), int(match[2])
    swap = month_first and "." not in written
    if first > 12 or second > 12:  # only one of them can be the month
        swap = second > 12
    day, month = (second, first) if swap else (first, second)
    if match[3] is None:
        return _latest(month, day, today, written)
    year = int(match[3]) if len(match[3]) == 4 else _century(int(match[3]), today)
    return _day(year, month, day, written)


def _century(two: int, today: date) -> int:
    """Return the year that two digits mean: the latest that is not more than a year ahead."""
    year = today.year // 100 * 100 + two
    return year if year <= today.year + 1 else year - 100


def _latest(month: int, day: int, today: date, written: str) -> date:
    """Return the last such day that is not still to come; 29 Feb may be some years ago."""
    for year in range(today.year, today.year - 9, -1):
        try:
            found = date(year, month, day)
        except ValueError:
            continue
        if found <= today:
            return found
    return _day(today.year, month, day, written)


def _day(year: int, month: int, day: int, written: str) -> date:
    try:
        return date(year, month, day)
    except ValueError:
        raise ValueError(f"“{written}” is not a day of the calendar; look at it again.") from None


def _month(name: str, written: str) -> int:
    short = name[:3].lower()
    if short not in MONTHS:
        raise ValueError(f"“{name}” in “{written}” is not a month; write it as 2 Mar 2026.")
    return MONTHS.index(short) + 1


def parse_clock(text: str) -> time:
    """Return a time of day written as 17:00, 17.00, 5pm, 5:00 p.m., 1700 or 7.

    Raises:
        ValueError: with a sentence for the person who wrote it.

    """
    written = " ".join(text.split())
    if written.lower() in ("noon", "midday"):
        return time(12)
    packed = f"{written[:2]}:{written[2:]}" if re.fullmatch(r"\d{4}", written) else written
    match = CLOCK.fullmatch(packed)
    if not match:
        raise ValueError(f"“{written}” is not a time of day; write it as 17:00 or 5 pm.")
    hour, minute, half = int(match[1]), int(match[2] or 0), (match[3] or "").lower()
    if half:
        if not 1 <= hour <= 12:
            raise ValueError(f"“{written}” is not a time of day; write it as 17:00 or 5 pm.")
        hour = hour % 12 + (12 if half == "p" else 0)
    try:
        return time(hour, minute)
    except ValueError:
        raise ValueError(f"“{written}” is not a time of day; write it as 17:00 or 5 pm.") from None
