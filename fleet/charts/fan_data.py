"""What the fan chart of a meter shows, in the yard's units.  Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True)
class FanReading:
    """One reading: its day, the total use that it says, and why it was not believed, if so."""

    day: date
    value: float
    rejected: str = ""


@dataclass(frozen=True)
class FanThreshold:
    """A total at which a service falls due."""

    value: float
    words: str


@dataclass(frozen=True)
class FanBooking:
    """Days on which the machine is promised."""

    first: date
    last: date
    words: str


@dataclass(frozen=True)
class FanData:
    """All that the chart shows of one meter.  days, low, mid, high have the same length."""

    title: str
    unit: str
    today: date
    readings: Sequence[FanReading]
    days: Sequence[date] = ()
    low: Sequence[float] = ()
    mid: Sequence[float] = ()
    high: Sequence[float] = ()
    thresholds: Sequence[FanThreshold] = ()
    bookings: Sequence[FanBooking] = ()
    says: str = ""

    @property
    def believed(self) -> list[FanReading]:
        """The readings that make the line, by day."""
        return sorted((r for r in self.readings if not r.rejected), key=lambda r: r.day)

    @property
    def refused(self) -> list[FanReading]:
        """The readings that were not believed, by day."""
        return sorted((r for r in self.readings if r.rejected), key=lambda r: r.day)
