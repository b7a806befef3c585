"""The best pattern of every mechanic-day at given prices, by dynamic programming over ticks.

A pattern is a whole mechanic-day: at most one visit a machine, hours within regular time and
overtime, overtime and trips paid for exactly.  Finding the best one is a multiple-choice
knapsack (Kellerer, Pferschy, Pisinger 2004, *Knapsack Problems*, chapter 11) in which each
ranch is a block that first costs its travel and trip.  All mechanic-days (N) are solved at once:
the state is the money of the best choice for every tick total (S), an (N, S) array per machine.
"""

from copy import copy
from dataclasses import dataclass
from math import gcd

import numpy as np

from scheduling.core.planner.problem import Floats, Ints

from .knapsack import KnapsackPass, Times
from .lanes import Lanes
from .visit_table import VisitTable

MOST_STATES = 1500
"""Tick totals kept a mechanic-day; beyond it durations are rounded down, which relaxes."""

MEMORY = 240_000_000
"""Bytes that the tables of one batch of mechanic-days may take."""


@dataclass(frozen=True, slots=True)
class Pattern:
    """Visits of one mechanic-day: rows of the table, and money without any dual price.

    `regular` are the hours of regular time that it takes.
    """

    day: int
    mechanic: int
    rows: tuple[int, ...]
    cost: float
    regular: float = 0.0

    @property
    def key(self) -> tuple[int, int, tuple[int, ...]]:
        """Return what tells the pattern from others."""
        return self.day, self.mechanic, self.rows


class Pricer:
    """The knapsack over the visits of each lane of mechanic-days.

    `days` and `mechanics` (N,) tell which mechanic-day stands for the lane; `end_cost` (N, S) is
    overtime money by tick total, infinite beyond the longest day, and `worked` (N, S) the hours of
    regular time; `cost` (R, N) is money of each visit, and `elsewhere` what it takes besides.
    """

    def __init__(self, rows: VisitTable, lanes: Lanes) -> None:
        case = rows.case
        self.rows, self.lanes = rows, lanes
        self.days, self.mechanics = lanes.days, lanes.mechanics
        self.cost = self.flat(rows.cost)
        self.elsewhere = rows.elsewhere.on(self.days, self.mechanics)
        longest = case.longest[self.days, self.mechanics]
        # The grid is the coarsest on which every duration still lies, so that the tables are small
        # and nothing is rounded.
        step = gcd(*rows.time.tolist(), *case.travel.tolist()) or 1
        # Only where that leaves too many states is it made coarser. Durations are then rounded
        # down: more visits seem to fit than do, so patterns can only look cheaper and the bound
        # stays valid. (-(-a // b) is a / b rounded up.)
        step *= -(-int(longest.max(initial=0) // step + 1) // MOST_STATES)
        self.time, self.travel = rows.time // step, case.travel // step
        states = int(longest.max(initial=0) // step) + 1
        totals = np.arange(states)[None, :] * step
        over = np.maximum(0, totals - case.regular[self.days, self.mechanics][:, None])
        self.end_cost = over * case.overtime[self.mechanics][:, None]
        self.worked = (totals - over) / case.scale
        # Longer than the longest day is no pattern at all, whatever it would earn.
        self.end_cost[totals > longest[:, None]] = np.inf
        # A pass keeps one table of states (8 bytes each) before every machine for tracing back, and
        # some more; batches keep all of them together within MEMORY.
        self.batch = max(1, MEMORY // (8 * states * (len(rows.machines) + 4)))

    def charged(self, hour: Floats) -> "Pricer":
        """Return the pricer that charges regular hours too, at a price (at most 0) by day, (H,)."""
        if not hour.any():
            return self
        other = copy(self)
        other.end_cost = self.end_cost - hour[self.days][:, None] * self.worked
        return other

    def flat(self, values: Floats) -> Floats:
        """Return (R, N): the entries of an (R, H, W) array on the mechanic-days."""
        return values[:, self.days, self.mechanics]

    def best(self, reduced: Floats) -> tuple[Floats, list[Pattern]]:
        """Return the least reduced cost of each mechanic-day (N,) and patterns that reach it.

        `reduced` (R, N) is the reduced cost of each visit; a pattern is given only where its
        value is below zero.
        """
        values, patterns = np.zeros(len(self.days)), []
        for start in range(0, len(self.days), self.batch):
            here = slice(start, start + self.batch)
            sweep = self.sweep(reduced[:, here], here)
            values[here] = sweep.value
            patterns += [
                self.pattern(start + n, chosen)
                for n, chosen in enumerate(sweep.chosen())
                # A pattern that does not pay would only make the programme larger.
                if sweep.value[n] < 0
            ]
        return values, patterns

    def sweep(self, reduced: Floats, here: slice | Ints) -> KnapsackPass:
        """Return the forward pass over the mechanic-days `here`, priced by the columns (R, ...)."""
        return KnapsackPass(self.rows, Times(self.time, self.travel, self.end_cost[here]), reduced)

    def pattern(self, n: int, chosen: list[int]) -> Pattern:
        """Return the pattern of mechanic-day `n` made of the rows `chosen`, priced exactly."""
        rows, case = self.rows, self.rows.case
        day, w = int(self.days[n]), int(self.mechanics[n])
        sites = {int(rows.site[np.searchsorted(rows.starts, r, "right") - 1]) for r in chosen}
        sites.discard(-1)
        # Priced anew from unrounded ticks, as the pass may have counted on a coarser grid.
        total = int(rows.time[chosen].sum()) + sum(int(case.travel[s]) for s in sites)
        over = max(0, total - int(case.regular[day, w]))
        cost = rows.cost[chosen, day, w].sum() + over * case.overtime[w]
        trips = sum(float(case.trip_cost[s]) for s in sites)
        worked = min(total, int(case.regular[day, w])) / case.scale
        return Pattern(day, w, tuple(sorted(chosen)), float(cost + trips), worked)

    def including(self, reduced: Floats) -> tuple[Floats, Floats]:
        """Return the best value of each mechanic-day (N,), and (R, N) the best that holds a visit.

        Of both the part that exceeds 0 counts for a visit: a mechanic-day may also stay empty.
        """
        values, least = np.zeros(len(self.days)), np.full(reduced.shape, np.inf)
        for start in range(0, len(self.days), self.batch):
            here = slice(start, start + self.batch)
            sweep = self.sweep(reduced[:, here], here)
            values[here], least[:, here] = sweep.value, sweep.including()
        return values, least
