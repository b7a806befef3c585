"""Common swings: how far the machines of a group have gone up and down together.

Over a month b the machines of a group run r_b = Σ x/v over Σ e, with v each machine's own rate over
all its days. If they ran each for itself, r_b would differ from 1 by no more than their own
deviations explain; what is left,

    s² = Σ_b N_b ((r_b − 1)² − noise_b) / Σ_b N_b,    N_b = Σ e,

is a swing of all at once (a season, a slack spring), which no number of machines averages out. The
noise is measured between the machines of that month (the estimator of moments for variance between
clusters; W. G. Cochran, Sampling Techniques, 1977, chapter 10, from memory).
"""

import numpy as np

from scheduling.core.usage.flat_arrays import Ints
from scheduling.core.usage.use_between_readings import UseIntervals

MONTH = 30.0
"""Days taken together."""

LEAST_MACHINES, LEAST_MONTHS = 3, 3
"""Machines that ran, and months, below which nothing is told of what a group does together."""


def common_swings(intervals: UseIntervals, group: Ints) -> float:
    """Return s², squared and in units of the rate; 0 where nothing is told.

    Args:
        intervals: known use of m machines.
        group: index of each machine's group, shape (m,).

    """
    m = intervals.n_machines
    use = np.bincount(intervals.machine, intervals.use, m)
    days = np.bincount(intervals.machine, intervals.days, m)
    rate = np.divide(use, days, out=np.zeros(m), where=days > 0)
    own = intervals.where((rate > 0)[intervals.machine])
    if not own.use.size:
        return 0.0
    month = np.floor((own.end.max() - own.end) / MONTH).astype(np.int64)
    months = int(month.max()) + 1
    n_groups = int(group.max(initial=0)) + 1
    # one cell for each machine and month, then for each group and month
    cell = own.machine * months + month
    ran = np.bincount(cell, own.use / rate[own.machine], m * months).reshape(m, months)
    lasted = np.bincount(cell, own.days, m * months).reshape(m, months)
    swing = worth = 0.0
    for g in range(n_groups):
        of_group = np.flatnonzero((group == g) & (rate > 0))
        seen = lasted[of_group].sum(axis=0) > 0
        if of_group.size < LEAST_MACHINES or seen.sum() < LEAST_MONTHS:
            continue
        x, n = ran[of_group][:, seen], lasted[of_group][:, seen]
        total = n.sum(axis=0)
        ratio = x.sum(axis=0) / total
        read = np.maximum((n > 0).sum(axis=0), 2)
        noise = ((x - ratio * n) ** 2).sum(axis=0) / total**2 * read / (read - 1)
        swing += float((total * ((ratio - 1) ** 2 - noise)).sum())
        worth += float(total.sum())
    return max(swing / worth, 0.0) if worth > 0 else 0.0
