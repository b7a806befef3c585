"""What the visits of one machine take, where that is more than one mechanic on one day.

A visit with a second person takes hours of two people; one over several days takes hours and a
bay on each.  All of it is kept as one flat table with an entry for each visit, day and person, so
that every possible visit is priced against a plan at once.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from .case import Floats, Ints

if TYPE_CHECKING:
    from .load import Load


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

    def of(self, slot: tuple[int, int, int]) -> list[tuple[int, int, int]]:
        """Return (day, mechanic, ticks) of one visit."""
        here = _range(self.visit, self._flat(slot))
        columns = (self.day[here], self.who[here], self.time[here])
        return list(zip(*(column.tolist() for column in columns), strict=True))

    def bays_of(self, slot: tuple[int, int, int]) -> list[tuple[int, int]]:
        """Return (day, half bays) of one visit."""
        here = _range(self.bay_visit, self._flat(slot))
        columns = (self.bay_day[here], self.halves[here])
        return list(zip(*(column.tolist() for column in columns), strict=True))

    def _flat(self, slot: tuple[int, int, int]) -> int:
        _, days, crews = self.shape
        return (slot[0] * days + slot[1]) * crews + slot[2]

    def price(self, load: "Load") -> Floats:
        """Return (R, H, C): money for overtime and trips that each visit adds; infinite if full."""
        case, day, who = load.case, self.day, self.who
        used, regular = load.used[day, who], case.regular[day, who]
        after, money = used + self.time, np.zeros(len(day))
        if self.site >= 0:
            new_trip = load.trips[self.site, day, who] == 0
            after = after + new_trip * case.travel[self.site]
            money += new_trip * case.trip_cost[self.site]
        over = np.maximum(0, after - regular) - np.maximum(0, used - regular)
        money += over * case.overtime[who]
        money[after > case.longest[day, who]] = np.inf
        price = np.zeros(self.shape).reshape(-1)
        np.add.at(price, self.visit, money)
        full = self.halves > (case.bays - load.bays)[self.bay_day]
        price[self.bay_visit[full]] = np.inf
        return price.reshape(self.shape)


def _range(values: Ints, value: int) -> slice:
    return slice(*np.searchsorted(values, [value, value + 1]).tolist())
