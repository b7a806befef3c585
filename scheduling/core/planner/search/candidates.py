"""Which visits can still be part of a better plan, by the prices of the bound.

Forcing a visit into its mechanic-day raises the Lagrangian bound by the difference between the
best pattern with it and the best pattern.  If that passes the cost of a known plan, no better
plan holds the visit and it can be dropped: an exact rule.  A smaller room is a guess, and a good
one: most visits of the best plans hardly raise the bound.
(Reduced-cost fixing with pattern values: Baldacci, Christofides, Mingozzi 2008,
doi 10.1007/s10107-007-0178-5.)
"""

import numpy as np

from scheduling.core.planner.bound import Bound
from scheduling.core.planner.problem import Flags, Floats
from scheduling.core.planner.visits import Visits

Keep = list[Flags]
"""For each machine (R, H, C): the visits worth looking at."""


def all_visits(machines: list[Visits]) -> Keep:
    """Return every possible visit: for each machine flags of shape (R, H, C)."""
    return [np.isfinite(v.cost) for v in machines]


Rises = list[Floats]
"""For each machine (R, H, C): money by which the bound rises when a visit is forced in."""


def rises_of(bound: Bound, machines: list[Visits]) -> Rises:
    """Return the rise of the bound for each visit, infinite where a rule forbids it.

    Money, one array of shape (R, H, C) a machine.  Visits of which the bound knows nothing rise by
    0, so none of those is ever dropped.
    """
    rises = [np.where(np.isfinite(v.cost), 0.0, np.inf) for v in machines]
    if bound.prices is None:
        return rises
    pricer, reduced = bound.priced(bound.prices)
    values, least = pricer.including(reduced)
    # The bound counts the best pattern or none for each mechanic-day; forced to hold the visit it
    # counts `least`. The difference is what the bound rises by.
    by_lane = least - np.minimum(0.0, values)
    # Where nobody works there is no lane, and no visit.
    rise = np.full(bound.rows.cost.shape, np.inf)
    for n, spots in enumerate(bound.pricer.lanes.spots):
        for day, w in spots:
            rise[:, day, w] = by_lane[:, n]
    where = {(v.machine.id, v.tasks): k for k, v in enumerate(bound.rows.machines)}
    for i, visits in enumerate(machines):
        k = where.get((visits.machine.id, visits.tasks))
        if k is not None:
            rows = bound.rows.of_machine(k)
            # Rules that the bound does not know may forbid more: the larger of both.
            rises[i] = np.maximum(rises[i], rise[rows.start : rows.stop][:, :, visits.lead])
    return rises


def within(rises: Rises, room: float) -> Keep:
    """Return the visits that raise the bound by no more than `room` (money).

    One array of flags a machine, of shape (R, H, C).
    """
    return [np.isfinite(rise) & (rise <= room) for rise in rises]
