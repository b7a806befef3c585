"""The days on which a calendar is odd, and how the site's processes are handed them."""

import os
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

YARD = ZoneInfo("America/Denver")
"""Where the demo is; its clock goes forward on 14 March 2027 and back on 7 November 2027."""


@dataclass(frozen=True)
class OddDay:
    """A day and what is odd about it; the walk begins in its morning."""

    why: str
    year: int
    month: int
    day: int

    @property
    def morning(self) -> datetime:
        """Half past eight at the yard."""
        return datetime(self.year, self.month, self.day, 8, 30, tzinfo=YARD)

    def ahead(self) -> timedelta:
        """Return how far the site's clock has to be ahead of the real one."""
        return self.morning - datetime.now(UTC)


DAYS = (
    OddDay("Sunday, clock goes back", 2027, 11, 7),
    OddDay("Saturday, end of a month", 2027, 7, 31),
    OddDay("31 December", 2027, 12, 31),
    OddDay("29 February", 2028, 2, 29),
    OddDay("Sunday, clock goes forward", 2027, 3, 14),
)


def clock_of_its_own(ahead: timedelta) -> dict[str, str]:
    """Return what a process needs in its environment to have its clock so far ahead."""
    if not ahead:
        return {}
    folder = Path(__file__).with_name("ahead")
    paths = [str(folder), *filter(None, [os.environ.get("PYTHONPATH")])]
    return {
        "PYTHONPATH": os.pathsep.join(paths),
        "TESTED_AHEAD": f"{ahead.total_seconds():.0f}",
    }
