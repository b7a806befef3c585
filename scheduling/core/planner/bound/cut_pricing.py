"""The best pattern of every mechanic-day when cuts over several machines have prices.

Such a cut charges a pattern that holds two of its three tasks, which the knapsack (`pricing`)
cannot see.  So it is solved without those charges, which bounds the price from below, and
branched on a cut that the best pattern owes: either the charge is paid, or only one of the cut's
three tasks may be done.  All open branches of all mechanic-days are solved in one
pass (branch and bound: Land, Doig 1960, Econometrica 28:497, doi 10.2307/1910129).
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from scheduling.core.planner.problem import Floats

from .cuts import Cuts
from .pricing import Pattern, Pricer
from .set_cuts import SetCut

# With MOST_NODES a guard of time: what they were tuned on is not recorded. Cutting off is safe, as
# open branches count with their lower bounds.
DEPTH = 8
"""Levels of branching; what is open beyond them counts with its lower bound."""

MOST_NODES = 300
"""Branches solved at one level; beyond them it stops as it does beyond the last level."""


@dataclass(frozen=True, slots=True)
class Node:
    """A mechanic-day (lane) with some rows banned and some charges paid beforehand (money).

    `low` is a lower bound of its patterns' price; `paid_cuts` are indices into the charges.
    """

    lane: int
    banned: frozenset[int]
    paid: float
    paid_cuts: frozenset[int]
    low: float


@dataclass(frozen=True, slots=True)
class Charge:
    """A cut with its price as money to pay (above 0)."""

    cut: SetCut
    money: float


class CutPricer:
    """Prices patterns with the charges of cuts over several machines, branching until `stop`."""

    def __init__(
        self, pricer: Pricer, cuts: Cuts, prices: Floats, stop: Callable[[], bool] | None = None
    ) -> None:
        self.pricer = pricer
        self.stop = stop or (lambda: False)
        self.charges = [
            Charge(cut, -float(price))
            for cut, price in zip(cuts.items, prices, strict=True)
            if isinstance(cut, SetCut) and price < 0.0
        ]

    def best(self, reduced: Floats) -> tuple[Floats, list[Pattern]]:
        """Return a lower bound of each mechanic-day's best price (N,) and patterns found.

        `reduced` (R, N) is the reduced cost of each visit without the charges.
        """
        if not self.charges:
            return self.pricer.best(reduced)
        self.least = np.zeros(reduced.shape[1])
        self.patterns: list[Pattern] = []
        nodes = [Node(n, frozenset(), 0.0, frozenset(), -np.inf) for n in range(len(self.least))]
        for _ in range(DEPTH):
            children: list[Node] = []
            for node, value, rows in self._solved(reduced, nodes):
                children += self._branch(node, value, rows)
            # A branch whose lower bound reaches the best price found on its mechanic-day cannot
            # hold a better pattern.
            nodes = [node for node in children if node.low < self.least[node.lane]]
            if not nodes or len(nodes) > MOST_NODES or self.stop():
                break
        values = self.least.copy()
        for node in nodes:
            # What was not looked into could be as cheap as its lower bound, and must be believed to
            # be.
            values[node.lane] = min(values[node.lane], node.low)
        return values, self.patterns

    def _solved(self, reduced: Floats, nodes: list[Node]) -> list[tuple[Node, float, list[int]]]:
        """Return each node with the price and rows of its best pattern, charges left out."""
        found: list[tuple[Node, float, list[int]]] = []
        for start in range(0, len(nodes), self.pricer.batch):
            here = nodes[start : start + self.pricer.batch]
            lanes = np.array([node.lane for node in here])
            prices = reduced[:, lanes]
            for n, node in enumerate(here):
                # A banned row is one that would hold a second task of the cut.
                prices[list(node.banned), n] = np.inf
            sweep = self.pricer.sweep(prices, lanes)
            found += zip(here, sweep.value.tolist(), sweep.chosen(), strict=True)
        return found

    def _branch(self, node: Node, value: float, rows: list[int]) -> list[Node]:
        """Note the pattern found and return the branches in which it does not stand."""
        owed = [i for i, charge in enumerate(self.charges) if charge.cut.owed(rows)]
        # The pass left the charges out; with those that this pattern owes its price is exact.
        price = value + sum(self.charges[i].money for i in owed)
        if price < 0.0:
            self.patterns.append(self.pricer.pattern(node.lane, rows))
        self.least[node.lane] = min(self.least[node.lane], price)
        low, paid, paid_cuts, children = value + node.paid, node.paid, node.paid_cuts, []
        new = [i for i in owed if i not in paid_cuts]
        # Each step splits what is left in two: patterns that hold one of the three tasks at most
        # and owe nothing (the children), and those that owe the charge, which are looked at
        # further. Dearest charge first, as it lifts the lower bound of the rest most. After the
        # last one the rest owes all charges that the found pattern owes and so is no cheaper than
        # it.
        for i in sorted(new, key=lambda i: -self.charges[i].money):
            if low >= self.least[node.lane]:
                break
            groups = self.charges[i].cut.by_task
            for kept in groups:
                banned = node.banned.union(*(rows for rows in groups if rows is not kept))
                children.append(Node(node.lane, banned, paid, paid_cuts, low))
            low, paid = low + self.charges[i].money, paid + self.charges[i].money
            paid_cuts = paid_cuts | {i}
        return children
