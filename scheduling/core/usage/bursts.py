"""Burstiness: whether a machine's use comes evenly or in bursts, beside others of its fleet.

Each interval j of a machine with rate r gives a squared deviation in the unit of the law (`law`),

    z_j = (x_j/m − r e_j)² / (r^(1+b) e_j),

whose mean is the lump. A machine's factor f is its mean z over the fleet's, drawn to its group's
factor by so many intervals' worth, and the group's to 1 (shrinkage of variances: G. K. Smyth,
Statistical Applications in Genetics and Molecular Biology 3, 2004, in its simplest form,
doi:10.2202/1544-6115.1027).
"""

from dataclasses import dataclass

import numpy as np

from scheduling.core.usage.flat_arrays import Floats, Ints
from scheduling.core.usage.law import LUMP_POWER
from scheduling.core.usage.use_between_readings import UseIntervals

LEAST_DAYS = 0.9
"""An interval of fewer effective days says nothing of bursts."""

MOST_TIMES = 10.0
"""A squared deviation counts at most so many times the fleet's mean one."""

MACHINE_SHRINK, GROUP_SHRINK = 40.0, 50.0
"""Intervals' worth of the group's factor in a machine's, and of 1 in a group's. Choices: half or
twice as much of either changes the loss of `forecast_benchmark` by 0.1 % at most."""

LEAST_LEVEL = 1e-6
"""Smallest mean z, in days: below it lies rounding, not work."""

LEAST_RATE, MOST_RATE = 2.0**-5, 2.0**3
"""Rates, in units of the group's mean, between which deviations are measured."""


@dataclass(frozen=True)
class Deviations:
    """Squared deviations added up by machine; arrays of shape (m,).

    Attributes:
        total: Σ z, capped.
        count: number of intervals that count.

    """

    total: Floats
    count: Floats


@dataclass(frozen=True)
class BurstModel:
    """What a fleet teaches about bursts.

    Attributes:
        level: mean z of the fleet, capped ones included.
        cap: the largest z that counts.
        group: factor of each group, shape (groups,).

    """

    level: float
    cap: float
    group: Floats

    def factor(self, seen: Deviations, group: Ints) -> Floats:
        """Return f of each machine, shape (m,); a group not seen has factor 1.

        The mean of its deviations is drawn to the group's, as in doi:10.2202/1544-6115.1027.

        Args:
            seen: the machines' own squared deviations.
            group: index of each machine's group, shape (m,).

        """
        known = (group >= 0) & (group < self.group.size)
        prior = np.where(known, self.group[np.where(known, group, 0)], 1.0)
        return (seen.total / self.level + MACHINE_SHRINK * prior) / (seen.count + MACHINE_SHRINK)


def squared_deviations(intervals: UseIntervals, scale: Floats, rate: Floats) -> Floats:
    """Return z of each interval; NaN for one too short to tell; shape (k,).

    Divided by the power of the rate at which variance grows (doi:10.1038/189732a0), so that busy
    and idle machines are measured on one scale.

    Args:
        intervals: known use.
        scale: m, the group's mean rate of each machine, units per day, shape (m,).
        rate: r, each machine's own rate in units of m, shape (m,).

    """
    # a rate near 0 would make a single hour of work look like an enormous burst
    r = np.clip(rate, LEAST_RATE, MOST_RATE)[intervals.machine]
    days = np.where(intervals.days >= LEAST_DAYS, intervals.days, np.nan)
    off = intervals.use / scale[intervals.machine] - r * days
    return off**2 / (r ** (1 + LUMP_POWER) * days)


def add_up(z: Floats, intervals: UseIntervals, cap: float) -> Deviations:
    """Add deviations up by machine, each no larger than the cap.

    Args:
        z: squared deviations, NaN for those left out, shape (k,).
        intervals: the intervals that they belong to.
        cap: the largest z that counts.

    """
    counts = np.isfinite(z)
    machine, m = intervals.machine[counts], intervals.n_machines
    total = np.bincount(machine, np.minimum(z[counts], cap), m).astype(np.float64)
    return Deviations(total, np.bincount(machine, minlength=m).astype(np.float64))


def fit_bursts(z: Floats, intervals: UseIntervals, group: Ints) -> tuple[BurstModel, Deviations]:
    """Learn the fleet's level of bursts and its groups' factors (doi:10.2202/1544-6115.1027).

    Args:
        z: squared deviations, shape (k,).
        intervals: the intervals that they belong to.
        group: index of each machine's group, shape (m,).

    """
    counts = np.isfinite(z)
    # squares of a law with a long tail: without a cap one odd interval would decide for its machine
    cap = MOST_TIMES * float(z[counts].mean()) if counts.any() else 0.0
    seen = add_up(z, intervals, cap)
    # the level is measured with the capped ones in it, so that factors still average about 1
    level = max(float(seen.total.sum() / max(seen.count.sum(), 1.0)), LEAST_LEVEL)
    n_groups = int(group.max(initial=0)) + 1
    total = np.bincount(group, seen.total, n_groups) / level
    count = np.bincount(group, seen.count, n_groups)
    factor = (total + GROUP_SHRINK) / (count + GROUP_SHRINK)
    return BurstModel(level, cap, factor), seen
