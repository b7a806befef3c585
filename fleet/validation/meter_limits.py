"""How fast and how far back a meter of each kind can go.

Apart from the 24 hours of a day these are common practice for rental and ranch machines, wide on
purpose: validation asks about what cannot be, and leaves the unlikely to the forecast.
"""

from dataclasses import dataclass
from datetime import timedelta

from fleet.models.makeups import MeterKind
from fleet.quantities import KILOMETRE, MILE

DAY = timedelta(days=1)
HOUR = timedelta(hours=1)

LEEWAY = timedelta(minutes=15)
"""A reading is noted so much before or after it was read (common practice)."""
DAY_LEEWAY = timedelta(hours=12)
"""The same where only the day is known: such a reading is put at noon."""
AHEAD = timedelta(minutes=5)
"""A clock may run ahead of ours by so much before its time counts as future (common practice)."""


@dataclass(frozen=True)
class MeterLimits:
    """What a kind of meter can do; quantities in the stored unit (hours, metres, cycles).

    Attributes:
        pace: most in one hour by the clock.
        hours: hours of a day at that pace.
        dip: how far it may seem to fall back, two people rounding.
        busy_day: a long day's use, granted where a machine's own use is not known.

    """

    pace: float
    hours: float
    dip: float
    busy_day: float

    def most(self, elapsed: timedelta) -> float:
        """Return the most that the meter can have moved in a time."""
        days, rest = divmod(max(elapsed, timedelta()), DAY)
        return self.pace * (self.hours * days + min(rest / HOUR, self.hours))


LIMITS = {
    # An hour meter follows the clock; its last digit is a tenth.
    MeterKind.HOURS: MeterLimits(pace=1.0, hours=24.0, dip=0.1, busy_day=10.0),
    # 120 km/h for 11 hours: the longest driving day of 49 CFR 395.3(a)(3) (from memory).
    MeterKind.DISTANCE: MeterLimits(
        pace=120 * KILOMETRE, hours=11.0, dip=MILE, busy_day=150 * KILOMETRE
    ),
    # One cycle a second.
    MeterKind.CYCLES: MeterLimits(pace=3600.0, hours=24.0, dip=0.0, busy_day=2000.0),
}
"""Limits by kind of meter."""
