"""Use between readings: the pieces that rates are learnt from."""

from dataclasses import dataclass

import numpy as np

from scheduling.core.usage.arrays import Floats, Ints, previous_in_run
from scheduling.core.usage.cleaning import Cleaned

THIN_DAYS = 0.5
"""Points of a life line closer than this many days to the last one used are passed over."""


@dataclass(frozen=True)
class UseIntervals:
    """Known use over stretches of time; all arrays of shape (k,), sorted by machine and time.

    Attributes:
        machine: index of the machine.
        start, end: days since 1970-01-01, end > start.
        use: what the meter ran, in its unit, never below zero.
        n_machines: m, also counting machines without any interval.

    """

    machine: Ints
    start: Floats
    end: Floats
    use: Floats
    n_machines: int


def use_intervals(cleaned: Cleaned) -> UseIntervals:
    """Cut the life lines into intervals of known use, at least half a day long.

    A telematics box may send thousands of readings a day; only the last one of each half day
    matters here. Steps of unknown use (unrecorded swaps) are left out.

    Args:
        cleaned: life lines of m machines.

    """
    at = _thinned(cleaned)
    machine, day, life = cleaned.machine[at], cleaned.day[at], cleaned.points_life[at]
    # An unknown step anywhere between two points kept makes the interval unknown.
    unknown = np.cumsum(~cleaned.known)[at]
    before = previous_in_run(machine)
    usable = (before >= 0) & (unknown == unknown[before])
    now = np.flatnonzero(usable & (day > day[before]))
    return UseIntervals(
        machine=machine[now],
        start=day[now - 1],
        end=day[now],
        use=np.maximum(life[now] - life[now - 1], 0.0),
        n_machines=cleaned.n_machines,
    )


def _thinned(cleaned: Cleaned) -> Ints:
    """Return the rows of the last point in each half day, and of each machine's first point."""
    if not cleaned.day.size:
        return np.zeros(0, dtype=np.int64)
    half = np.floor(cleaned.day / THIN_DAYS)
    last = np.ones(half.size, dtype=np.bool_)
    last[:-1] = (half[1:] != half[:-1]) | (cleaned.machine[1:] != cleaned.machine[:-1])
    first = previous_in_run(cleaned.machine) < 0
    before_unknown = np.zeros(half.size, dtype=np.bool_)
    before_unknown[:-1] = ~cleaned.known[1:]
    return np.flatnonzero(last | first | before_unknown | ~cleaned.known)
