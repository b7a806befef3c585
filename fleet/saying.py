"""Dates, spans, money and counts as people say them.  Pure: today is always handed in."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, tzinfo

WEEKDAY = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTH = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
DAYS_COUNTED = 60
"""Up to so many days away a distance is told in days, beyond it in months."""


def short_date(day: date, today: date) -> str:
    """Return "Thu 3 Dec", with the year where it is not this one."""
    year = "" if day.year == today.year else f" {day.year}"
    return f"{WEEKDAY[day.weekday()]} {day.day} {MONTH[day.month - 1]}{year}"


def counted(number: float, one: str, many: str = "") -> str:
    """Return "1 machine", "3 machines"; many is one with an s unless given."""
    return f"{number:,g} {one if number == 1 else many or one + 's'}"


def distance(day: date, today: date) -> str:
    """Return how far away a day is: today, tomorrow, in 8 days, 3 months ago."""
    days = (day - today).days
    near = {0: "today", 1: "tomorrow", -1: "yesterday"}
    if days in near:
        return near[days]
    size = abs(days)
    early, late = sorted((day, today))
    span = counted(size, "day") if size <= DAYS_COUNTED else _months(early, late)
    return f"in {span}" if days > 0 else f"{span} ago"


def _months(early: date, late: date) -> str:
    """Return months, or from two years on the whole years that lie between two days."""
    years = late.year - early.year - ((late.month, late.day) < (early.month, early.day))
    if years >= 2:
        return counted(years, "year")
    # mean length of a month of the Gregorian calendar, days
    return counted(round((late - early).days / 30.44), "month")


def say_date(day: date, today: date) -> str:
    """Return "Thu 3 Dec, in 8 days"."""
    return f"{short_date(day, today)}, {distance(day, today)}"


def say_moment(moment: datetime, zone: tzinfo, today: date) -> str:
    """Return "Wed 25 Nov, 14:05" in a yard's own time."""
    local = moment.astimezone(zone)
    return f"{short_date(local.date(), today)}, {local:%H:%M}"


def say_range(first: date, last: date | None, today: date) -> str:
    """Return "between Thu 3 and Tue 15 Dec"; an open end lies beyond what is forecast."""
    if last is None:
        return f"not before {short_date(first, today)}"
    if first == last:
        return f"on {short_date(first, today)}"
    start = short_date(first, today)
    if (first.month, first.year) == (last.month, last.year):
        start = f"{WEEKDAY[first.weekday()]} {first.day}"
    return f"between {start} and {short_date(last, today)}"


def say_span(first: date, last: date, today: date) -> str:
    """Return "Thu 3 Dec to Sat 5 Dec", or the one day."""
    one_day = short_date(first, today)
    return one_day if first == last else f"{one_day} to {short_date(last, today)}"


def say_minutes(minutes: float) -> str:
    """Return minutes of work as "45 min", "2 h", "2 h 15 min"."""
    hours, rest = divmod(round(minutes), 60)
    if not hours:
        return f"{rest} min"
    return f"{hours:,} h" + (f" {rest} min" if rest else "")


def say_money(amount: float, sign: str = "$") -> str:
    """Return money; cents are left off from a thousand on."""
    figure = f"{abs(amount):,.0f}" if abs(amount) >= 1000 else f"{abs(amount):,.2f}"
    return f"{'−' if amount < 0 else ''}{sign}{figure}"


def say_percent(share: float, places: int = 0) -> str:
    """Return a share of one as percent, with the space that ISO 80000-1 asks for."""
    return f"{share * 100:.{places}f} %"


def joined(words: Sequence[str]) -> str:
    """Return "a, b and c"."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def capital(words: str) -> str:
    """Return words of ours with a capital at their head; a name stays as its people write it."""
    return words[:1].upper() + words[1:]


@dataclass(frozen=True)
class Clause:
    """A part of a sentence; name_first: it begins with a name, which is never changed."""

    words: str
    name_first: bool = False

    @property
    def head(self) -> str:
        """The words as they stand at the head of a sentence."""
        return self.words if self.name_first else capital(self.words)


def without_stop(words: str) -> str:
    """Return what somebody typed without the full stop at its end: ours follows."""
    return words.strip().removesuffix(".")


def first_sentence(words: str) -> str:
    """Return what stands before the second sentence: what to do, without what is to be known."""
    head, stop, _ = words.partition(". ")
    return f"{head}." if stop else words


def unbroken(words: str) -> str:
    """Tie each number to its unit with a no-break space, so that no line begins with "h"."""
    return re.sub(r"(?<=\d) (?=(?:h|min|mi|km)\b|%)", "\u00a0", words)
