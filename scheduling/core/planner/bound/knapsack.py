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

Step = tuple[Ints, Floats]
"""The lanes that a machine changed, and their states before it (lanes, S)."""


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

    `value` (N,) is the least price of a pattern, 0 for none.  For tracing back, `steps[k]` keeps
    the lanes that machine k changed and their states before it, `outside[b]` and `inside[b]` all
    states before block b and at its end.
    """

    def __init__(self, rows: VisitTable, times: Times, reduced: Floats) -> None:
        self.rows, self.times, self.reduced = rows, times, reduced
        # A visit that costs money and time can be left out of any pattern without making it dearer,
        # so only those with a negative price are ever put in.
        self.useful = reduced < 0
        self.blocks = site_groups_of(rows)
        self.steps: list[Step | None] = []
        self.outside: list[Floats] = []
        self.inside: list[Floats] = []
        self.state = np.full_like(times.end_cost, np.inf)
        # Only the empty day is there to begin with. A state is an exact total of ticks, not "at
        # most so many": overtime is added at the end by the total.
        self.state[:, :1] = 0.0
        for block in self.blocks:
            self._pass(block)
        final = self.state + times.end_cost
        self.stop = final.argmin(axis=1)
        self.value = final[np.arange(len(final)), self.stop]

    def _pass(self, block: SiteGroup) -> None:
        self.outside.append(self.state.copy())
        if block.site >= 0:
            trip = float(self.rows.case.trip_cost[block.site])
            self.state = shifted(self.state, int(self.times.travel[block.site])) + trip
        for k in range(block.first, block.last):
            self.steps.append(self._take(k))
        self.inside.append(self.state.copy())
        # Whoever has not gone to the ranch is not charged for it: the better of gone and stayed,
        # total by total.
        if block.site >= 0:
            np.minimum(self.outside[-1], self.state, out=self.state)

    def _take(self, k: int) -> Step | None:
        """Let machine `k` have one visit in each lane, and return what that changed."""
        here = self.rows.of_machine(k)
        useful = self.useful[here.start : here.stop]
        # On most days most machines have no visit that pays, so only the lanes with one are
        # looked at.
        lanes = np.flatnonzero(useful.any(axis=0))
        if not len(lanes):
            return None
        before = self.state[lanes]
        after = before.copy()
        useful = useful[:, lanes]
        for i in np.flatnonzero(useful.any(axis=1)).tolist():
            row = here.start + i
            time = int(self.times.row[row])
            width = before.shape[1] - time
            if width > 0:
                price = np.where(useful[i], self.reduced[row, lanes], np.inf)
                # From the states *before* the machine, so that it has one visit at most.
                np.minimum(after[:, time:], before[:, :width] + price[:, None], out=after[:, time:])
        self.state[lanes] = after
        return lanes, before

    def chosen(self) -> list[list[int]]:
        """Return the rows of the best pattern of each mechanic-day of the pass."""
        lanes = np.arange(len(self.value))
        at = self.stop.copy()
        found: list[list[int]] = [[] for _ in lanes]
        for b, block in reversed(list(enumerate(self.blocks))):
            goal, went = self.inside[b][lanes, at], np.ones(len(lanes), dtype=bool)
            if block.site >= 0:
                # The forward pass took the smaller of the two; on a tie it is as right to have
                # stayed.
                went = goal < self.outside[b][lanes, at]
            for k in reversed(range(block.first, block.last)):
                self._trace(k, at, goal, went, found)
            if block.site >= 0:
                at = at - went * int(self.times.travel[block.site])
        return found

    def _trace(self, k: int, at: Ints, goal: Floats, went: Flags, found: list[list[int]]) -> None:
        """Note machine `k`'s row in each lane that `went`, and bring `at` and `goal` before it.

        Those are the tick total (N,) and the money of its state (N,), and change in place.
        """
        if (step := self.steps[k]) is None:
            return
        lanes, before = step
        own = np.arange(len(lanes))
        searching = went[lanes] & (before[own, at[lanes]] != goal[lanes])
        for row in self.rows.of_machine(k):
            if not searching.any():
                break
            came = at[lanes] - int(self.times.row[row])
            start = before[own, np.maximum(came, 0)]
            hit = searching & self.useful[row, lanes] & (came >= 0)
            # Exact comparison of floats is right here: it is the same sum of the same two numbers
            # that the forward pass made.
            hit &= start + self.reduced[row, lanes] == goal[lanes]
            for lane in lanes[hit].tolist():
                found[lane].append(row)
            at[lanes[hit]], goal[lanes[hit]] = came[hit], start[hit]
            searching &= ~hit

    def including(self) -> Floats:
        """Return the least price of a pattern that holds each visit, infinite if none.

        Money, shape (R, N).
        """
        least = np.full(self.reduced.shape, np.inf)
        # What a pattern costs that holds a visit is least money up to its machine (kept from the
        # forward pass), its own price, and least money from there on; the last is built here,
        # machine by machine from the end.
        to_go = self.times.end_cost
        for b, block in reversed(list(enumerate(self.blocks))):
            passed_by = to_go
            to_go = self._back(block, self.inside[b].copy(), to_go.copy(), least)
            if block.site >= 0:
                travel = int(self.times.travel[block.site])
                trip = float(self.rows.case.trip_cost[block.site])
                to_go = np.minimum(passed_by, advanced(to_go, travel) + trip)
        return least

    def _back(self, block: SiteGroup, state: Floats, to_go: Floats, least: Floats) -> Floats:
        """Note the visits of a block in `least` and return the money to go from its start.

        `state` are the states at its end, `to_go` the money from there on; both change in place.
        """
        for k in reversed(range(block.first, block.last)):
            lanes, before = self.steps[k] or (None, None)
            if lanes is not None:
                state[lanes] = before
            for row in self.rows.of_machine(k):
                self._include(row, state, to_go, least)
            if lanes is not None:
                to_go[lanes] = self._to_go_before(k, lanes, to_go[lanes])
        return to_go

    def _include(self, row: int, state: Floats, to_go: Floats, least: Floats) -> None:
        # Here visits that do not pay are looked at too: the question is what it costs to force
        # them in.
        able = np.flatnonzero(np.isfinite(self.reduced[row]))
        time = int(self.times.row[row])
        width = to_go.shape[1] - time
        if width > 0 and len(able):
            rest = state[able, :width] + to_go[able, time:]
            least[row, able] = rest.min(axis=1) + self.reduced[row, able]

    def _to_go_before(self, k: int, lanes: Ints, to_go: Floats) -> Floats:
        """Return the money to go, (lanes, S), when machine `k` may still have its visit."""
        earlier = to_go.copy()
        for row in self.rows.of_machine(k):
            useful, time = self.useful[row, lanes], int(self.times.row[row])
            width = to_go.shape[1] - time
            if width > 0 and useful.any():
                price = np.where(useful, self.reduced[row, lanes], np.inf)[:, None]
                np.minimum(earlier[:, :width], to_go[:, time:] + price, out=earlier[:, :width])
        return earlier


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
