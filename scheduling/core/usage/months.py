"""Months in which a class of machines runs more or less, learnt from its past where it repeats.

One busy June is no season; a June that is busy two years running may be one. For each group g and
month c of the past, x_gc = (use in the month)/(use at the machines' own mean rates) − 1. Where a
calendar month was seen in two years, the two should agree: with the sums over all such pairs,

    λ = Σ x₁x₂ / (½ Σ (x₁² + x₂²)) · P/(P + 6),   within 0 to 1,

P the number of pairs, is the share of a month's deviation that comes back the next year (an
intraclass correlation; C. R. Rao, Linear Statistical Inference, 1973, section 3j, from memory), six
pairs' worth of no agreement mixed in. The mean of Y years is drawn to flat by Yλ/(1 + (Y − 1)λ).
With no more than thirteen months nothing repeats, and all months are flat.
"""

from dataclasses import dataclass

import numpy as np

from scheduling.core.usage.arrays import Floats, Ints
from scheduling.core.usage.intervals import UseIntervals

LEAST_HISTORY = 396.0
"""Days of history up to which months are flat: thirteen months."""

PAIRS_SHRINK = 6.0
"""Pairs' worth of no agreement mixed into λ."""

LEAST_MACHINE_DAYS = 60.0
"""A month in which a group was seen for fewer effective machine days says nothing."""

LEAST_WEIGHT, MOST_WEIGHT = 0.2, 4.0
"""Weights of months stay between these."""


@dataclass(frozen=True)
class MonthCells:
    """The months of the past, one after the other.

    Attributes:
        edges: first day of each month, and of the one after the last, shape (c + 1,).
        month: calendar month of each, 0 to 11, shape (c,).

    """

    edges: Floats
    month: Ints


def month_weights(intervals: UseIntervals, group: Ints, cells: MonthCells) -> Floats | None:
    """Return the weight of each calendar month by group, mean 1; None where all are flat.

    Args:
        intervals: known use of m machines; their days may count stated seasons already.
        group: group of each machine, shape (m,).
        cells: the months of the past, in the days of the intervals.

    Returns:
        Weights, shape (groups, 12).

    """
    if not intervals.start.size:
        return None
    if intervals.end.max() - intervals.start.min() <= LEAST_HISTORY:
        return None
    off = _deviations(intervals, group, cells)
    share = _share_that_repeats(off, cells.month)
    if share <= 0:
        return None
    weight = np.ones((off.shape[0], 12))
    for month in range(12):
        years = off[:, cells.month == month]
        seen = (~np.isnan(years)).sum(axis=1)
        mean = np.nansum(years, axis=1) / np.maximum(seen, 1)
        weight[:, month] += mean * seen * share / (1 + np.maximum(seen - 1, 0) * share)
    weight = np.clip(weight, LEAST_WEIGHT, MOST_WEIGHT)
    return np.asarray(weight / weight.mean(axis=1, keepdims=True))


def _deviations(intervals: UseIntervals, group: Ints, cells: MonthCells) -> Floats:
    """Return x of each group and month of the past, NaN where little was seen, (groups, c)."""
    machine, m = intervals.machine, intervals.n_machines
    days = np.bincount(machine, intervals.days, m)
    rate = np.bincount(machine, intervals.use, m) / np.maximum(days, 1e-9)
    of_group = group[machine]
    n_groups = int(group.max(initial=0)) + 1
    span = intervals.end - intervals.start
    off = np.full((n_groups, cells.month.size), np.nan)
    for cell, (first, end) in enumerate(zip(cells.edges[:-1], cells.edges[1:], strict=True)):
        inside = np.minimum(intervals.end, end) - np.maximum(intervals.start, first)
        part = np.clip(inside, 0, None) / span
        used = np.bincount(of_group, part * intervals.use, n_groups)
        usual = np.bincount(of_group, part * intervals.days * rate[machine], n_groups)
        seen = np.bincount(of_group, part * intervals.days, n_groups)
        known = (seen >= LEAST_MACHINE_DAYS) & (usual > 0)
        off[known, cell] = used[known] / usual[known] - 1.0
    return off


def _share_that_repeats(off: Floats, month: Ints) -> float:
    """Return λ; 0 where no month was seen twice."""
    together = apart = 0.0
    pairs = 0
    for late in range(12, month.size):
        first, second = off[:, late - 12], off[:, late]
        both = ~np.isnan(first) & ~np.isnan(second)
        pairs += int(both.sum())
        together += float((first[both] * second[both]).sum())
        apart += float((first[both] ** 2 + second[both] ** 2).sum()) / 2
    if not pairs or apart <= 0:
        return 0.0
    return float(np.clip(together / apart * pairs / (pairs + PAIRS_SHRINK), 0.0, 1.0))
