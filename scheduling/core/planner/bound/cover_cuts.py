"""What a shelf can hold out for, as cuts of the programme over patterns.

Tasks that together want more of a part than there is until some day form a cover: one of them at
least is not done by then.  In the programme each may be done in part; with the cut

    tasks of the cover that are done by the day  <=  tasks of the cover - 1

it may not.  A task that wants no less than the largest of the cover counts too
(extended covers: Balas 1975, Math. Program. 8:146, doi 10.1007/BF01580440; from memory).
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from scheduling.core.planner.problem import Flags, Floats, Ints

from .pricing import Pattern
from .visit_table import VisitTable

LEAST_VIOLATION = 1e-3
"""Tasks by which a cut must be broken to be added."""

TOLERANCE = 1e-6
"""Fraction of a stock by which tasks must want more to be a cover."""


@dataclass(frozen=True, slots=True)
class CoverCut:
    """At most `limit` of the `tasks` (columns) done by `day`; `weights` count them by row."""

    tasks: tuple[int, ...]
    weights: dict[int, float]
    day: int
    limit: float

    @property
    def key(self) -> object:
        """Return what tells the cut from others."""
        return "cover", self.tasks, self.day, self.limit

    @property
    def rows(self) -> list[int]:
        """Return the rows that count."""
        return list(self.weights)

    def pay(self, paid: Floats, price: float) -> None:
        """Add what the cut pays for each visit to `paid`, shape (R, H)."""
        paid[self.rows, : self.day + 1] += price * np.array(list(self.weights.values()))[:, None]

    def of(self, pattern: Pattern) -> float:
        """Return how much a pattern counts."""
        if pattern.day > self.day:
            return 0.0
        return sum(self.weights.get(row, 0.0) for row in pattern.rows)


@dataclass(frozen=True, slots=True)
class CoveredStock:
    """A part's stock until `day`: what is there, and what each of the `tasks` (columns) wants."""

    day: int
    stock: float
    tasks: Ints
    wanted: Floats


def shelves_of(rows: VisitTable, parts: Ints, days: Ints, limits: Floats) -> list[CoveredStock]:
    """Return the shelves on which some task finds too little; one entry of each for a stock row."""
    single = np.flatnonzero(rows.member.sum(axis=1) == 1)
    task_of = rows.member[single].argmax(axis=1)
    found = []
    for part, day, limit in zip(parts.tolist(), days.tolist(), limits.tolist(), strict=True):
        wanted = np.zeros(rows.member.shape[1])
        wanted[task_of] = rows.need[single, part]
        tasks = np.flatnonzero(wanted)
        found.append(CoveredStock(day, limit, tasks, wanted[tasks]))
    return found


def broken_covers(
    rows: VisitTable, shelves: list[CoveredStock], visits: Floats
) -> Iterator[CoverCut]:
    """Yield the cuts that a fractional solution of visits, shape (R, H), breaks."""
    # (tasks, days): how much of each task is done by the end of each day.
    done = np.cumsum(rows.sparse_member.T @ visits, axis=1)
    for shelf in shelves:
        missing = np.maximum(0.0, 1.0 - done[shelf.tasks, shelf.day])
        for order in (missing / shelf.wanted, missing, -shelf.wanted * (missing < 1.0)):
            cover = _cover(shelf, np.argsort(order, kind="stable"))
            if cover is None:
                continue
            counted = cover | (shelf.wanted >= shelf.wanted[cover].max())
            limit = int(cover.sum()) - 1
            if (1.0 - missing[counted]).sum() > limit + LEAST_VIOLATION:
                yield _cut(rows, shelf.tasks[counted], shelf.day, limit)


def _cover(shelf: CoveredStock, order: Ints) -> Flags | None:
    """Return tasks that want too much together, none of which could be left out."""
    enough = shelf.stock * (1 + TOLERANCE) + TOLERANCE
    total = np.cumsum(shelf.wanted[order])
    if not len(total) or total[-1] <= enough:
        return None
    chosen = np.zeros(len(order), dtype=bool)
    count = int(np.argmax(total > enough)) + 1
    chosen[order[:count]] = True
    rest = float(total[count - 1])
    # A cover with a task to spare says less than the one without it.
    for i in reversed(order[:count].tolist()):
        if rest - shelf.wanted[i] > enough:
            chosen[i], rest = False, rest - shelf.wanted[i]
    return chosen


def _cut(rows: VisitTable, tasks: Ints, day: int, limit: int) -> CoverCut:
    weight = rows.member[:, tasks].sum(axis=1)
    counted = np.flatnonzero(weight)
    weights = {int(r): float(weight[r]) for r in counted}
    return CoverCut(tuple(tasks.tolist()), weights, day, float(limit))
