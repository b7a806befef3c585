"""The services of each line put in order for one side.

Each side orders by its own measure, so a reading typed a day late does not disturb the calendar.
Records of one line on one day are one service (a batch closed twice, a covered service recorded by
hand as well); so are records at one meter value. The last of them stands.
"""

from dataclasses import dataclass

import numpy as np

from scheduling.core.intervals.anchors import AnchorRule
from scheduling.core.intervals.interval_rules import ServicesDone
from scheduling.core.intervals.line_arrays import SLACK, Bools, Ints, Points


@dataclass(frozen=True)
class OrderedServices:
    """Services on one side: those of a line stand together, rising.

    at: points (m,); first: index of each line's first one (n,); count: how many each has (n,);
    used: how many each had before those that cannot matter were left out (n,).
    """

    at: Points
    first: Ints
    count: Ints
    used: Ints

    def last(self) -> Points:
        """Return the last point of each line, shape (n,), NaN or NaT where there is none."""
        missing = np.full(len(self.count), "NaT" if self.at.dtype.kind == "M" else "nan")
        last = missing.astype(self.at.dtype)
        some = self.count > 0
        last[some] = self.at[(self.first + self.count - 1)[some]]
        return last


def in_order_of_life(services: ServicesDone, n: int, anchor: Ints) -> OrderedServices:
    """Return the services of n lines whose life is known, in order of life, in the meter's unit.

    anchor: each line's ``AnchorRule``, shape (n,).
    """
    known = ~np.isnan(services.life)
    line, day, life = services.line[known], services.day[known], services.life[known]
    order = _order(line, life)
    line, day, life = line[order], day[order], life[order]
    # NaT equals nothing, so records of unknown days are told apart by the meter alone
    again = (line[1:] == line[:-1]) & ((day[1:] == day[:-1]) | (life[1:] - life[:-1] <= SLACK))
    return _ordered(line, life, again, n, anchor)


def in_order_of_day(services: ServicesDone, n: int, anchor: Ints) -> OrderedServices:
    """Return the services of n lines whose day is known, in order of days.

    anchor: each line's ``AnchorRule``, shape (n,).
    """
    known = ~np.isnat(services.day)
    line, day = services.line[known], services.day[known]
    order = _order(line, day)
    line, day = line[order], day[order]
    again = (line[1:] == line[:-1]) & (day[1:] == day[:-1])
    return _ordered(line, day, again, n, anchor)


def _order(line: Ints, at: Points) -> Ints | slice:
    """Return the order by line and point. Only lines that are out of order are sorted."""
    if (line[1:] < line[:-1]).any():
        return np.lexsort((at, line))
    falls = (line[1:] == line[:-1]) & (at[1:] < at[:-1])
    if not falls.any():
        return slice(None)
    # sorting all rows would cost more than all the rest: records come in order but for a few
    order = np.arange(len(line))
    mixed = np.isin(line, line[1:][falls])
    order[mixed] = order[mixed][np.lexsort((at[mixed], line[mixed]))]
    return order


def _ordered(line: Ints, at: Points, again: Bools, n: int, anchor: Ints) -> OrderedServices:
    if len(line) and (line[0] < 0 or line[-1] >= n):
        wrong = line[0] if line[0] < 0 else line[-1]
        raise ValueError(f"a service names line {wrong}, but the lines are 0 to {n - 1}")
    stands = np.append(~again, True)[: len(line)]
    line, at = line[stands], at[stands]
    used = np.bincount(line, minlength=n)
    # counting from the service, only the last one matters
    ends = np.append(line[1:] != line[:-1], True)[: len(line)]
    matters = ends | (anchor[line] != AnchorRule.FROM_SERVICE)
    line, at = line[matters], at[matters]
    count = np.bincount(line, minlength=n)
    return OrderedServices(at, np.cumsum(count) - count, count, used)
