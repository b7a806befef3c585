"""Inequalities that every plan keeps and the linear programme over patterns does not know.

For an odd set S of one machine's tasks, every visit takes at least two of S for each whole unit
of floor(|B and S| / 2), so

    sum over visits B of floor(|B and S| / 2) * z[B]  <=  floor(|S| / 2)

(subset-row inequalities: Jepsen, Petersen, Spoorendonk, Pisinger 2008, Oper. Res. 56:497,
doi 10.1287/opre.1070.0449, from memory).  As a pattern holds at most one visit a machine, such a
cut is a price on visits and changes nothing in the pricing of patterns.  A machine has one visit
a day at most; the mechanics' patterns do not see each other, so that is a cut as well.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from scheduling.core.planner.problem import Floats

from .coupling import Coupling
from .cover_cuts import CoverCut, broken_covers, shelves_of
from .precedence_cuts import PrecedenceCut, broken_precedence
from .pricing import Pattern
from .set_cuts import SetCut
from .visit_table import VisitTable

EVERY_DAY = -1
"""Day of a cut that holds for the visits of all days together."""

LEAST_VIOLATION = 1e-3
"""Visits by which a cut must be broken to be added."""

# Machines have seven tasks at most here (`subsets.ALL_SUBSETS`; larger ones are split), so these
# are the odd sizes above one but for all seven.
SET_SIZES = (3, 5)
"""Numbers of tasks of the odd sets."""


@dataclass(frozen=True, slots=True)
class Cut:
    """At most `limit` visits, each counted by the weight of its row (visits' table), on `day`."""

    weights: dict[int, float]
    day: int
    limit: float

    @property
    def key(self) -> object:
        """Return what tells the cut from others."""
        return self.day, tuple(sorted(self.weights))

    @property
    def rows(self) -> list[int]:
        """Return the rows that count."""
        return list(self.weights)

    def pay(self, paid: Floats, price: float) -> None:
        """Add what the cut pays for each visit to `paid`, shape (R, H)."""
        days = slice(None) if self.day == EVERY_DAY else slice(self.day, self.day + 1)
        weight = np.array(list(self.weights.values()))
        paid[self.rows, days] += price * weight[:, None]

    def of(self, pattern: Pattern) -> float:
        """Return how much a pattern counts."""
        if self.day not in (EVERY_DAY, pattern.day):
            return 0.0
        return sum(self.weights.get(row, 0.0) for row in pattern.rows)


AnyCut = Cut | PrecedenceCut | CoverCut | SetCut
"""What every kind has: `key`, `rows`, `limit`, `pay` and `of`."""


class Cuts:
    """The cuts of a programme in the order they were added.

    Unless `days_apart`, one mechanic-day stands for several (`lanes`) and its day says nothing.
    """

    def __init__(self, rows: VisitTable, coupling: Coupling, days_apart: bool = True) -> None:
        self.rows, self.days_apart = rows, days_apart
        # Without stock that can run out every day is as good as any, so no shelf has a day there.
        self.shelves = shelves_of(
            rows, coupling.stock_part, coupling.stock_day, coupling.stock_limit
        )
        self.items: list[AnyCut] = []
        self.of_row: dict[int, list[int]] = defaultdict(list)
        self.known: set[object] = set()

    @property
    def limits(self) -> Floats:
        """Return the right-hand sides, shape (C,)."""
        return np.array([cut.limit for cut in self.items])

    def add(self, cut: AnyCut) -> bool:
        """Add the cut unless it is known."""
        if cut.key in self.known:
            return False
        self.known.add(cut.key)
        for row in cut.rows:
            self.of_row[row].append(len(self.items))
        self.items.append(cut)
        return True

    def entries(self, pattern: Pattern) -> Iterator[tuple[int, float]]:
        """Yield the cuts in which a pattern counts, and how much."""
        # Looked up by row, as there are many cuts and few of them touch a pattern.
        touched = {c for row in pattern.rows for c in self.of_row.get(row, ())}
        for c in sorted(touched):
            weight = self.items[c].of(pattern)
            if weight:
                yield c, weight

    def paid(self, prices: Floats) -> Floats:
        """Return, in shape (R, H), what the cuts pay for each visit on each day."""
        paid = np.zeros((len(self.rows.time), self.rows.case.days))
        for cut, price in zip(self.items, prices, strict=True):
            if price:
                cut.pay(paid, float(price))
        return paid

    def broken(self, visits: Floats) -> list[AnyCut]:
        """Return the cuts that a fractional solution of visits, shape (R, H), breaks."""
        found: list[AnyCut] = [*broken_precedence(self.rows, visits)]
        found += broken_covers(self.rows, self.shelves, visits)
        for k in range(len(self.rows.machines)):
            here = self.rows.of_machine(k)
            taken = visits[here.start : here.stop]
            # A machine of which one visit is taken whole is as good as settled. Cuts are offers:
            # the bound is valid whichever of them are found.
            if taken.max(initial=0.0) < 1.0 - LEAST_VIOLATION:
                found += self._sets(k, taken.sum(axis=1))
            # Where one mechanic-day stands for several days its day says nothing, and no such cut
            # holds.
            crowded = (taken.sum(axis=0) > 1.0 + LEAST_VIOLATION) & self.days_apart
            found += [Cut(dict.fromkeys(here, 1.0), int(d), 1.0) for d in np.flatnonzero(crowded)]
        return found

    def _sets(self, k: int, taken: Floats) -> Iterator[Cut]:
        here, machine = self.rows.of_machine(k), self.rows.machines[k]
        for size in SET_SIZES:
            for chosen in combinations(range(len(machine.tasks)), size):
                # Each task is in one visit at most, so sum over visits of |B and S| <= |S|; halve
                # it and round down on both sides (Chvátal-Gomory), which is valid as visits are
                # whole.
                weight = machine.member[:, chosen].sum(axis=1) // 2
                if weight @ taken > size // 2 + LEAST_VIOLATION:
                    counted = np.flatnonzero(weight).tolist()
                    weights = {here.start + r: float(weight[r]) for r in counted}
                    yield Cut(weights, EVERY_DAY, float(size // 2))
