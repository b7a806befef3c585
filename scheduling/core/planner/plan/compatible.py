"""Which visits of a machine go with those that it has already: days and order."""

import numpy as np

from scheduling.core.planner.problem import Flags, Ints, Precedence
from scheduling.core.planner.visits import Slot, Visits


def compatible(visits: Visits, chosen: list[Slot], coming: int = 0) -> Flags:
    """Return (R, H, C): the visits of a machine that its `chosen` ones leave days and order for.

    Whatever must be done before a visit has to be chosen already, or be of the mask `coming`:
    tasks that the caller puts in together with it, in their order.
    """
    first = np.arange(visits.cost.shape[1])[None, :, None]
    last = first if visits.last is None else visits.last
    may = np.ones(visits.cost.shape, dtype=bool)
    for slot in chosen:
        # Visits of one machine never overlap, also not where a long one spans days without work.
        may &= (last < slot[1]) | (first > visits.last_day(slot))
    if visits.precedence is not None:
        earliest, latest = _precedence_limits(visits, visits.precedence, chosen, coming)
        may &= (first > earliest[:, None, None]) & (last < latest[:, None, None])
    return np.asarray(may)


def _precedence_limits(
    visits: Visits, precedence: Precedence, chosen: list[Slot], coming: int
) -> tuple[Ints, Ints]:
    """Return for each row the days between which it may lie, by what comes before and after."""
    days = visits.cost.shape[1]
    earliest, latest = np.full(len(visits.masks), -1), np.full(len(visits.masks), days)
    # By the mask of its tasks, to be held against masks of forerunners.
    done = {int(visits.masks[slot[0]]): slot for slot in chosen}
    for row, mask in enumerate(visits.masks.tolist()):
        needed = precedence.first(mask)
        for other, slot in done.items():
            if other & needed:
                earliest[row] = max(earliest[row], visits.last_day(slot))
                needed &= ~other
            if precedence.first(other) & mask:
                latest[row] = min(latest[row], slot[1])
        # A forerunner that has no place yet: nothing may be put behind it, so no day is late
        # enough.
        if needed & ~coming:
            earliest[row] = days
    return earliest, latest
