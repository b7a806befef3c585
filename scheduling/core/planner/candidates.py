"""Which visits can still be part of a better plan, by the prices of the bound.

Forcing a visit into its mechanic-day raises the Lagrangian bound by the difference between the
best pattern with it and the best pattern.  If that passes the cost of a known plan, no better
plan holds the visit and it is dropped: an exact rule, which usually leaves a few per cent.
(Reduced-cost fixing with pattern values: Baldacci, Christofides, Mingozzi 2008,
doi 10.1007/s10107-007-0178-5.)
"""

import numpy as np

from .bound import Bound
from .case import Flags
from .visits import Visits

Keep = list[Flags]
"""For each machine (R, H, W): the visits worth looking at."""


def all_visits(machines: list[Visits]) -> Keep:
    """Return every possible visit."""
    return [np.isfinite(v.cost) for v in machines]


def promising(bound: Bound, machines: list[Visits], best: float) -> Keep:
    """Return the visits that may be part of a plan cheaper than `best` (money)."""
    keep = all_visits(machines)
    if bound.prices is None:
        return keep
    reduced = bound.reduced(bound.prices)
    values, least = bound.pricer.including(reduced)
    rise = least - np.minimum(0.0, values)
    room = best - bound.value + 1e-6 * abs(best)
    kept = np.zeros(bound.rows.cost.shape, dtype=bool)
    for n, spots in enumerate(bound.pricer.lanes.spots):
        for day, w in spots:
            kept[:, day, w] = rise[:, n] <= room
    where = {(v.machine.id, v.tasks): k for k, v in enumerate(bound.rows.machines)}
    for i, visits in enumerate(machines):
        k = where.get((visits.machine.id, visits.tasks))
        if k is not None:
            rows = bound.rows.of_machine(k)
            keep[i] &= kept[rows.start : rows.stop]
    return keep
