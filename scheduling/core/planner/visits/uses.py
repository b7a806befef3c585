"""What the visits of one machine take, where that is more than one mechanic on one day.

A visit with a second person takes hours of two people; one over several days takes hours and a
bay on each.  All of it is kept as one flat table with an entry for each visit, day and person, so
that every possible visit is priced against a plan at once.
"""

from dataclasses import dataclass

import numpy as np

from scheduling.core.planner.problem import Ints

from .slots import Slot


@dataclass(frozen=True, slots=True)
class Uses:
    """Entries of the visits of a machine at `site` (-1 at the yard), in the order of the visits.

    A visit is a flat index over `shape` (rows, days, crews).  Entry e: visit `visit[e]` takes
    `time[e]` ticks, without travel, of mechanic `who[e]` on `day[e]`; and likewise half bays.
    """

    shape: tuple[int, int, int]
    site: int
    visit: Ints
    day: Ints
    who: Ints
    time: Ints
    bay_visit: Ints
    bay_day: Ints
    halves: Ints

    def of(self, slot: Slot) -> list[tuple[int, int, int]]:
        """Return (day, mechanic, ticks) of one visit."""
        here = _range(self.visit, self._flat(slot))
        columns = (self.day[here], self.who[here], self.time[here])
        return list(zip(*(column.tolist() for column in columns), strict=True))

    def bays_of(self, slot: Slot) -> list[tuple[int, int]]:
        """Return (day, half bays) of one visit."""
        here = _range(self.bay_visit, self._flat(slot))
        columns = (self.bay_day[here], self.halves[here])
        return list(zip(*(column.tolist() for column in columns), strict=True))

    def _flat(self, slot: Slot) -> int:
        _, days, crews = self.shape
        # The order in which numpy flattens an array of this shape.
        return (slot[0] * days + slot[1]) * crews + slot[2]


def _range(values: Ints, value: int) -> slice:
    return slice(*np.searchsorted(values, [value, value + 1]).tolist())
