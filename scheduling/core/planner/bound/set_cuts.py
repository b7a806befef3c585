"""Cuts over tasks of different machines, which the pricing of patterns has to know.

For three tasks S, not all of one machine, at most one pattern holds two of them or more:

    sum over patterns p of floor(|p and S| / 2) * x[p]  <=  1

(subset-row inequalities: Jepsen, Petersen, Spoorendonk, Pisinger 2008, Oper. Res. 56:497,
doi 10.1287/opre.1070.0449, from memory).  Those that a fractional solution breaks are found
among the pairs of tasks that share a pattern in it.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from scheduling.core.planner.problem import Floats

from .pricing import Pattern
from .visit_table import VisitTable

# Far above that of cuts within a machine (`cuts`), as each of these makes the pricing of all
# patterns branch.
LEAST_VIOLATION = 0.02
"""Patterns by which a cut must be broken to be worth its price in pricing."""

# A judgement, like the violation above: what they were tuned on is not recorded.
MOST_AT_ONCE = 12
"""Cuts added at a time."""

Set = tuple[int, int, int]
Held = list[tuple[float, frozenset[int]]]
"""The patterns of a fractional solution: the share taken of each, and its tasks."""


@dataclass(frozen=True, slots=True)
class SetCut:
    """At most one pattern with two of the tasks `chosen`; `by_task` has the rows of each."""

    chosen: Set
    by_task: tuple[frozenset[int], ...]
    limit: float = 1.0

    @property
    def key(self) -> object:
        """Return what tells the cut from others."""
        return self.chosen

    @property
    def rows(self) -> list[int]:
        """Return the rows that count."""
        return sorted(frozenset().union(*self.by_task))

    def pay(self, paid: Floats, price: float) -> None:
        """Add nothing to `paid`, shape (R, H): no visit owes anything by itself (`cut_pricing`)."""

    def of(self, pattern: Pattern) -> float:
        """Return how much a pattern counts."""
        return float(self.owed(pattern.rows))

    def owed(self, rows: Iterable[int]) -> bool:
        """Tell whether the rows of a pattern hold two of the tasks."""
        return sum(row in task for row in rows for task in self.by_task) > 1


def broken_sets(rows: VisitTable, patterns: list[Pattern], shares: Floats) -> list[SetCut]:
    """Return some of the most broken cuts, no two of which count the same patterns."""
    held: Held = [
        (share, frozenset(np.flatnonzero(rows.member[list(p.rows)].any(axis=0)).tolist()))
        for share, p in zip(shares.tolist(), patterns, strict=True)
        # A pattern that is taken whole leaves no room for a broken cut over its tasks.
        if 1e-6 < share < 1.0 - LEAST_VIOLATION
    ]
    machine = [k for k, v in enumerate(rows.machines) for _ in v.tasks]
    found: list[tuple[float, Set, frozenset[int]]] = []
    for chosen in _sets(held, machine):
        counted = frozenset(i for i, (_, tasks) in enumerate(held) if len(tasks & {*chosen}) > 1)
        over = sum(held[i][0] for i in counted) - 1.0
        if over > LEAST_VIOLATION:
            found.append((-over, chosen, counted))
    # Cuts that count the same patterns say the same of this solution: one of them is enough.
    best: dict[frozenset[int], Set] = {}
    for _, chosen, counted in sorted(found, key=lambda item: item[:2]):
        best.setdefault(counted, chosen)
    return [_cut(rows, chosen) for chosen in list(best.values())[:MOST_AT_ONCE]]


def _sets(held: Held, machine: list[int]) -> set[Set]:
    """Return the triples of tasks, not all of one machine, of which two pairs share patterns."""
    near: dict[int, set[int]] = defaultdict(set)
    for _, tasks in held:
        for a, b in combinations(sorted(tasks), 2):
            # Only pairs that meet in a pattern can be counted, so a broken set has a task that
            # meets both others: sets are built around that one instead of trying all triples.
            near[a].add(b)
            near[b].add(a)
    found: set[Set] = set()
    for middle, others in near.items():
        for a, b in combinations(sorted(others), 2):
            # Sets within one machine are left to `cuts`, where they cost nothing in pricing.
            if not machine[a] == machine[b] == machine[middle]:
                first, second, third = sorted((a, b, middle))
                found.add((first, second, third))
    return found


def _cut(rows: VisitTable, chosen: Set) -> SetCut:
    member = rows.member[:, chosen]
    return SetCut(
        chosen, tuple(frozenset(np.flatnonzero(member[:, i]).tolist()) for i in range(len(chosen)))
    )
