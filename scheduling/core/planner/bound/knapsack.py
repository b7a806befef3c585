"""The knapsack pass over the machines of a yard, forward for values and back for choices.

The state of a mechanic-day is the least money for every tick total.  Machines at the yard come
first; each ranch is then a block: entering it costs travel and trip, and leaving it keeps the
better of having gone and having stayed.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from scheduling.core.planner.problem import Flags, Floats, Ints

from .visit_table import VisitTable


@dataclass(frozen=True, slots=True)
class Times:
    """Durations on the grid of the pass: rows (R,), ranches (S,), and end money (N, totals)."""

    row: Ints
    travel: Ints
    end_cost: Floats


@dataclass(frozen=True, slots=True)
class SiteGroup:
    """The machines at one place: `site` -1 for the yard, `first` to `last` exclusive."""

    site: int
    first: int
    last: int


def site_groups_of(rows: VisitTable) -> list[SiteGroup]:
    """Return the places in pricing order with the machines that stand there."""
    edges = [0, *(np.flatnonzero(np.diff(rows.site)) + 1).tolist(), len(rows.site)]
    return [SiteGroup(int(rows.site[a]), a, b) for a, b in pairwise(edges) if a < b]


class KnapsackPass:
    """One forward pass for N mechanic-days; `reduced` (R, N) is the price of each visit.

    `value` (N,) is the least price of a pattern, 0 for none; `before[k]` and `inside[b]` keep
    the states before machine k and at the end of block b for tracing back.
    """

    def __init__(self, rows: VisitTable, times: Times, reduced: Floats) -> None:
        self.rows, self.times, self.reduced = rows, times, reduced
        # A visit that costs money and time can be left out of any pattern without making it dearer,
        # so only those with a negative price are ever put in.
        self.useful = reduced < 0
        self.blocks = site_groups_of(rows)
        self.before: list[Floats] = []
        self.outside: list[Floats] = []
        self.inside: list[Floats] = []
        state = np.full_like(times.end_cost, np.inf)
        # Only the empty day is there to begin with. A state is an exact total of ticks, not "at
        # most so many": overtime is added at the end by the total.
        state[:, :1] = 0.0
        for block in self.blocks:
            state = self._pass(block, state)
        final = state + times.end_cost
        self.stop = final.argmin(axis=1)
        self.value = final[np.arange(len(final)), self.stop]

    def _pass(self, block: SiteGroup, state: Floats) -> Floats:
        self.outside.append(state)
        if block.site >= 0:
            trip = float(self.rows.case.trip_cost[block.site])
            state = shifted(state, int(self.times.travel[block.site])) + trip
        for k in range(block.first, block.last):
            self.before.append(state)
            state = self._take(k, state)
        self.inside.append(state)
        # Whoever has not gone to the ranch is not charged for it: the better of gone and stayed,
        # total by total.
        return state if block.site < 0 else np.minimum(self.outside[-1], state)

    def _take(self, k: int, state: Floats) -> Floats:
        """Return the states after machine `k` may have had one visit."""
        after = state
        for row in self.rows.of_machine(k):
            useful, time = self.useful[row], int(self.times.row[row])
            width = state.shape[1] - time
            if width <= 0 or not useful.any():
                continue
            # Copied only when something may change: on most days most machines have no visit that
            # pays.
            if after is state:
                after = state.copy()
            price = np.where(useful, self.reduced[row], np.inf)
            # From the states *before* the machine, so that it has one visit at most.
            np.minimum(after[:, time:], state[:, :width] + price[:, None], out=after[:, time:])
        return after

    def chosen(self) -> list[list[int]]:
        """Return the rows of the best pattern of each mechanic-day of the pass."""
        lanes = np.arange(len(self.value))
        at = self.stop.copy()
        found: list[list[int]] = [[] for _ in lanes]
        for b, block in reversed(list(enumerate(self.blocks))):
            after, went = self.inside[b], np.ones(len(lanes), dtype=bool)
            if block.site >= 0:
                # The forward pass took the smaller of the two; on a tie it is as right to have
                # stayed.
                went = after[lanes, at] < self.outside[b][lanes, at]
            for k in reversed(range(block.first, block.last)):
                at = self._trace(k, at, went, after, found)
                after = self.before[k]
            if block.site >= 0:
                at = at - went * int(self.times.travel[block.site])
        return found

    def _trace(self, k: int, at: Ints, went: Flags, after: Floats, found: list[list[int]]) -> Ints:
        """Note machine `k`'s row in each lane that `went`, and return the totals before it."""
        lanes = np.arange(len(at))
        goal = after[lanes, at]
        searching = went & (self.before[k][lanes, at] != goal)
        for row in self.rows.of_machine(k):
            if not searching.any():
                break
            came = at - int(self.times.row[row])
            start = self.before[k][lanes, np.maximum(came, 0)]
            hit = searching & self.useful[row] & (came >= 0)
            # Exact comparison of floats is right here: it is the same sum of the same two numbers
            # that the forward pass made.
            hit &= start + self.reduced[row] == goal
            for lane in np.flatnonzero(hit):
                found[lane].append(row)
            at = np.where(hit, came, at)
            searching &= ~hit
        return at

    def including(self) -> Floats:
        """Return the least price of a pattern that holds each visit, infinite if none.

        Money, shape (R, N).
        """
        least = np.full(self.reduced.shape, np.inf)
        # What a pattern costs that holds a visit is least money up to its machine (kept from the
        # forward pass), its own price, and least money from there on; the last is built here,
        # machine by machine from the end.
        to_go = self.times.end_cost
        for block in reversed(self.blocks):
            passed_by, to_go = to_go, self._back(block, to_go, least)
            if block.site >= 0:
                travel = int(self.times.travel[block.site])
                trip = float(self.rows.case.trip_cost[block.site])
                to_go = np.minimum(passed_by, advanced(to_go, travel) + trip)
        return least

    def _back(self, block: SiteGroup, to_go: Floats, least: Floats) -> Floats:
        """Note the visits of a block in `least` and return the money to go from its start."""
        for k in reversed(range(block.first, block.last)):
            earlier = to_go
            for row in self.rows.of_machine(k):
                time = int(self.times.row[row])
                width = to_go.shape[1] - time
                if width <= 0:
                    continue
                # Here visits that do not pay are looked at too: the question is what it costs to
                # force them in.
                rest = to_go[:, time:] + self.reduced[row][:, None]
                least[row] = (self.before[k][:, :width] + rest).min(axis=1)
                if self.useful[row].any():
                    if earlier is to_go:
                        earlier = to_go.copy()
                    np.minimum(earlier[:, :width], rest, out=earlier[:, :width])
            to_go = earlier
        return to_go


def advanced(to_go: Floats, ticks: int) -> Floats:
    """Return the money to go, shape (N, S), when `ticks` pass first."""
    moved = np.full_like(to_go, np.inf)
    width = to_go.shape[1] - ticks
    if width > 0:
        moved[:, :width] = to_go[:, ticks:]
    return moved


def shifted(state: Floats, ticks: int) -> Floats:
    """Return the states, shape (N, S), with every total `ticks` later."""
    moved = np.full_like(state, np.inf)
    width = state.shape[1] - ticks
    if width > 0:
        moved[:, ticks:] = state[:, :width]
    return moved
