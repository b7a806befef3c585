"""Days as whole numbers (date.toordinal), and the holidays on which a shop is closed."""

from collections.abc import Iterable, Mapping
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np

EPOCH = date(1970, 1, 1).toordinal()


def months_of(days: np.ndarray) -> np.ndarray:
    """The month, 1 to 12, of each day number."""
    stamps = (np.asarray(days) - EPOCH).astype("datetime64[D]")
    return stamps.astype("datetime64[M]").astype(int) % 12 + 1


def weekdays_of(days: np.ndarray) -> np.ndarray:
    """The weekday of each day number, Monday 0."""
    return (np.asarray(days) - 1) % 7


def in_season(days: np.ndarray, start: tuple[int, int], end: tuple[int, int]) -> np.ndarray:
    """Whether each day lies between two dates of the year, which may span the new year."""
    stamps = (np.asarray(days) - EPOCH).astype("datetime64[D]")
    in_month = (stamps - stamps.astype("datetime64[M]")).astype(int) + 1
    key = months_of(days) * 100 + in_month
    low, high = start[0] * 100 + start[1], end[0] * 100 + end[1]
    return (key >= low) & (key <= high) if low <= high else (key >= low) | (key <= high)


def holiday(rule: Mapping[str, int], year: int) -> date:
    """The day of a holiday: a fixed date, or the nth weekday of a month (-1: the last)."""
    if "day" in rule:
        return date(year, rule["month"], rule["day"])
    if rule["nth"] < 0:
        last = date(year + rule["month"] // 12, rule["month"] % 12 + 1, 1) - timedelta(days=1)
        return last - timedelta(days=(last.weekday() - rule["weekday"]) % 7)
    first = date(year, rule["month"], 1)
    ahead = (rule["weekday"] - first.weekday()) % 7 + 7 * (rule["nth"] - 1)
    return first + timedelta(days=ahead + rule.get("plus", 0))


def holidays(rules: Iterable[Mapping], first: date, last: date) -> dict[date, str]:
    """Every holiday from first to last, with its name."""
    named = {
        holiday(rule, year): rule["name"]
        for rule in rules
        for year in range(first.year, last.year + 1)
    }
    return {day: name for day, name in sorted(named.items()) if first <= day <= last}


class Clock:
    """Moments of a yard's days in UTC; a day's offset is that of its noon, looked up once."""

    def __init__(self, zone: ZoneInfo) -> None:
        self.zone = zone
        self._midnights: dict[int, datetime] = {}

    def at(self, day: int, minute: int) -> datetime:
        """The moment so many minutes after midnight of a day number."""
        if day not in self._midnights:
            noon = datetime.combine(date.fromordinal(day), time(12), tzinfo=self.zone)
            self._midnights[day] = noon.astimezone(UTC) - timedelta(hours=12)
        return self._midnights[day] + timedelta(minutes=minute)
