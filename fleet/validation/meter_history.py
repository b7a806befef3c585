"""What one meter is known to have shown, in order of time."""

from bisect import bisect_left, bisect_right, insort
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from itertools import pairwise
from typing import NamedTuple

STEPS_BACK = 20
"""Readings before a time that tell a machine's usual use."""
FEWEST_STEPS = 3
"""Steps between readings from which on it is told."""
SHORTEST_STEP = timedelta(hours=12)
"""Readings closer together say little about a day's use."""
DAY = timedelta(days=1)


class Seen(NamedTuple):
    """One value at one time (aware); `event` says that it is no reading: fitted, taken off.

    A tuple, since a file makes millions of them and keeps them in order.
    """

    at: datetime
    value: float
    event: str = ""


@dataclass
class MeterHistory:
    """Readings of one meter that stand, and those that were corrected since.

    `seen` may come in any order; it must reach back at least STEPS_BACK readings before, and one
    reading beyond, any time that is asked for.
    """

    seen: list[Seen]
    corrected: set[tuple[datetime, float]] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.seen = sorted(self.seen)

    def add(self, seen: Seen) -> None:
        """Put in one more reading."""
        if self.seen and seen > self.seen[-1]:
            self.seen.append(seen)  # as most are
        else:
            insort(self.seen, seen)

    def before(self, at: datetime) -> Seen | None:
        """Return the last reading up to a time, the fitting included."""
        place = bisect_right(self.seen, at, key=_at)
        return self.seen[place - 1] if place else None

    def after(self, at: datetime) -> Seen | None:
        """Return the first reading after a time."""
        place = bisect_right(self.seen, at, key=_at)
        return self.seen[place] if place < len(self.seen) else None

    def between(self, first: datetime, last: datetime) -> list[Seen]:
        """Return the readings within two times, both included, without fittings."""
        low, high = bisect_left(self.seen, first, key=_at), bisect_right(self.seen, last, key=_at)
        return [seen for seen in self.seen[low:high] if not seen.event]

    def knows(self, value: float, first: datetime, last: datetime) -> bool:
        """Say whether a value within two times is here already, as it stands or as corrected."""
        if any(seen.value == value for seen in self.between(first, last)):
            return True
        return any(v == value and first <= at <= last for at, v in self.corrected)

    def busiest_day(self, at: datetime) -> float | None:
        """Return the machine's own fastest use before a time, per day; None if not yet known."""
        place = bisect_right(self.seen, at, key=_at)
        rates = list(_rates(self.seen[max(0, place - STEPS_BACK) : place]))
        return max(rates) if len(rates) >= FEWEST_STEPS else None


def _at(seen: Seen) -> datetime:
    return seen.at


def _rates(seen: list[Seen]) -> Iterable[float]:
    for earlier, later in pairwise(seen):
        elapsed = later.at - earlier.at
        if elapsed >= SHORTEST_STEP and later.value >= earlier.value:
            yield (later.value - earlier.value) / (elapsed / DAY)
