"""Use between readings: the pieces that rates are learnt from."""

from dataclasses import dataclass, replace

import numpy as np

from scheduling.core.usage.cleaning import Cleaned
from scheduling.core.usage.day_weights import DayWeights
from scheduling.core.usage.flat_arrays import Flags, Floats, Ints, previous_in_run

THIN_DAYS = 0.5
"""Of the points within one such part of a day only the last one is used."""


@dataclass(frozen=True)
class UseIntervals:
    """Known use over stretches of time; all arrays of shape (k,), sorted by machine and time.

    Attributes:
        machine: index of the machine.
        start, end: days since 1970-01-01, end > start.
        days: effective days from start to end; calendar days where no day weights apply.
        use: what the meter ran, in its unit, never below zero.
        n_machines: m, also counting machines without any interval.

    """

    machine: Ints
    start: Floats
    end: Floats
    days: Floats
    use: Floats
    n_machines: int

    def where(self, keep: Flags) -> "UseIntervals":
        """Return the flagged intervals of the same machines; keep has shape (k,)."""
        return UseIntervals(
            self.machine[keep],
            self.start[keep],
            self.end[keep],
            self.days[keep],
            self.use[keep],
            self.n_machines,
        )

    def of(self, machines: Ints) -> "UseIntervals":
        """Return the intervals of some machines, renumbered 0, 1, 2 ... in the order given.

        Args:
            machines: growing indices of the machines to keep, shape (j,).

        """
        number = np.full(self.n_machines, -1, dtype=np.int64)
        number[machines] = np.arange(machines.size)
        # growing order keeps the intervals sorted by machine, which all that follows relies on
        kept = self.where(number[self.machine] >= 0)
        return replace(kept, machine=number[kept.machine], n_machines=machines.size)


def use_intervals(cleaned: Cleaned, weights: DayWeights | None = None) -> UseIntervals:
    """Cut the life lines into intervals of known use.

    A telematics box may send thousands of readings a day; only the last one of each half day
    matters here. Steps of unknown use (unrecorded swaps) are left out.

    Args:
        cleaned: life lines of m machines.
        weights: what each calendar day counts; None for all days alike.

    """
    at = _thinned(cleaned)
    machine, day, life = cleaned.machine[at], cleaned.day[at], cleaned.points_life[at]
    # An unknown step anywhere between two points kept makes the interval unknown.
    unknown = np.cumsum(~cleaned.known)[at]
    before = previous_in_run(machine)
    usable = (before >= 0) & (unknown == unknown[before]) & (day > day[before])
    now = np.flatnonzero(usable)
    who, start, end = machine[now], day[now - 1], day[now]
    return UseIntervals(
        machine=who,
        start=start,
        end=end,
        days=end - start if weights is None else weights.between(who, start, end),
        use=np.maximum(life[now] - life[now - 1], 0.0),
        n_machines=cleaned.n_machines,
    )


def _thinned(cleaned: Cleaned) -> Ints:
    """Return the rows of the last point in each half day, and of each machine's first point."""
    if not cleaned.day.size:
        return np.zeros(0, dtype=np.int64)
    half = np.floor(cleaned.day / THIN_DAYS)
    # both sides of an unknown step stay, or thinning would stretch the gap over known use
    last = np.ones(half.size, dtype=np.bool_)
    last[:-1] = (half[1:] != half[:-1]) | (cleaned.machine[1:] != cleaned.machine[:-1])
    first = previous_in_run(cleaned.machine) < 0
    before_unknown = np.zeros(half.size, dtype=np.bool_)
    before_unknown[:-1] = ~cleaned.known[1:]
    return np.flatnonzero(last | first | before_unknown | ~cleaned.known)
