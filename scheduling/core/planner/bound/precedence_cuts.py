"""The order of a machine's tasks as cuts of the programme over patterns.

When task j comes after task i, then for each day d

    visits with j but not i that begin by d  <=  visits with i but not j that begin before d

and visits with both keep the order within.  A visit that lasts several days is counted on its
first day, which is a relaxation.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from scheduling.core.planner.problem import Floats

from .pricing import Pattern
from .visit_table import VisitTable

LEAST_VIOLATION = 1e-3
"""Visits by which a cut must be broken to be added."""


@dataclass(frozen=True, slots=True)
class PrecedenceCut:
    """Rows that hold the earlier task alone, rows that hold the later one alone, and the day."""

    earlier: tuple[int, ...]
    later: tuple[int, ...]
    day: int
    limit: float = 0.0

    @property
    def key(self) -> object:
        """Return what tells the cut from others."""
        return "order", self.earlier, self.later, self.day

    @property
    def rows(self) -> list[int]:
        """Return the rows that count."""
        return [*self.earlier, *self.later]

    def of(self, pattern: Pattern) -> float:
        """Return how much a pattern counts."""
        # Valid in every plan: task j is in one visit at most, so the left side is at most 1; if it
        # is 1, its forerunner i was done on an earlier day and not in the same visit, so the right
        # side is 1 too.
        begun = sum(row in self.later for row in pattern.rows) if pattern.day <= self.day else 0
        done = sum(row in self.earlier for row in pattern.rows) if pattern.day < self.day else 0
        return float(begun - done)

    def pay(self, paid: Floats, price: float) -> None:
        """Add what the cut pays for each visit to `paid`, shape (R, H)."""
        paid[list(self.later), : self.day + 1] += price
        paid[list(self.earlier), : self.day] -= price


def broken_precedence(rows: VisitTable, visits: Floats) -> Iterator[PrecedenceCut]:
    """Yield the cuts that a fractional solution of visits, shape (R, H), breaks."""
    for k, machine in enumerate(rows.machines):
        if machine.precedence is None:
            continue
        here = rows.of_machine(k)
        for j, before in enumerate(machine.precedence.before):
            for i in range(len(machine.tasks)):
                if before >> i & 1:
                    # Visits that hold both tasks stand on neither side: within a visit the order is
                    # kept by whoever does it.
                    has_i, has_j = machine.member[:, i], machine.member[:, j]
                    earlier = here.start + np.flatnonzero(has_i & ~has_j)
                    later = here.start + np.flatnonzero(has_j & ~has_i)
                    yield from _broken_days(visits, tuple(earlier.tolist()), tuple(later.tolist()))


def _broken_days(
    visits: Floats, earlier: tuple[int, ...], later: tuple[int, ...]
) -> Iterator[PrecedenceCut]:
    begun = np.cumsum(visits[list(later)].sum(axis=0))
    done = np.cumsum(visits[list(earlier)].sum(axis=0))
    before = np.concatenate([[0.0], done[:-1]])
    for day in np.flatnonzero(begun > before + LEAST_VIOLATION).tolist():
        yield PrecedenceCut(earlier, later, day)
