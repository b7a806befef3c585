"""The linear programme over mechanic-day patterns.

Minimise pattern money + waiting money + lost bookings, where each task is in one pattern or
waits, each mechanic-day has at most one pattern, and bays, stock and blocking rows (`coupling`)
hold.  Patterns and cuts (`cuts`) are added as they are found (`bound`); the solver restarts from
its last basis.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence

import highspy
import numpy as np

from scheduling.core.planner.problem import Floats

from .coupling import Coupling, Prices
from .cuts import AnyCut, Cuts
from .lanes import Lanes
from .pricing import Pattern
from .visit_table import VisitTable

PRIMAL = 4
"""The solver's number for the primal simplex."""


class QuietHighs(highspy.Highs):
    """The solver without its callbacks, whose setting up prints a banner to standard output."""

    def __init__(self) -> None:
        super(highspy.Highs, self).__init__()
        self.setOptionValue("output_flag", False)
        # One thread: the same patterns must give the same prices in every run.
        self.setOptionValue("threads", 1)
        # New columns leave the last basis feasible, so the primal simplex goes on from it.
        self.setOptionValue("simplex_strategy", PRIMAL)


Entries = tuple[list[int], list[float]]


class Master:
    """A growing linear programme; row blocks stand in the order of the fields of `Prices`.

    Cuts come last, so that they can grow too.
    """

    def __init__(self, rows: VisitTable, coupling: Coupling, lanes: Lanes) -> None:
        self.rows, self.coupling, self.lanes = rows, coupling, lanes
        tasks, bays = len(coupling.wait), rows.case.days
        sizes = [tasks, len(lanes.count), bays, len(coupling.stock_limit), len(coupling.block_task)]
        sizes.append(len(coupling.hour_day))
        self.offsets = np.concatenate([[0], np.cumsum(sizes)]).astype(int)
        self.patterns: list[Pattern] = []
        self.place: dict[tuple[int, int, tuple[int, ...]], int] = {}
        self.holding: dict[int, list[int]] = defaultdict(list)
        self.cuts = Cuts(rows, coupling, days_apart=lanes.days_apart)
        self.hour_row = {day: i for i, day in enumerate(coupling.hour_day.tolist())}
        self.solver = QuietHighs()
        self._add_rows()
        self._add_waiting()

    def _add_rows(self) -> None:
        count = int(self.offsets[-1])
        upper, lower = np.zeros(count), np.full(count, -highspy.kHighsInf)
        task, lane, bay, stock, block, hour, _ = self.offsets
        upper[task:bay] = 1.0
        # Tasks are equations (done once or waiting), all other rows upper limits.
        lower[task:lane] = 1.0
        upper[lane:bay] = self.lanes.count
        upper[bay:stock] = self.rows.case.bays
        upper[stock:block] = self.coupling.stock_limit
        upper[hour:] = self.coupling.hour_limit
        none = np.zeros(0, dtype=np.int32)
        starts = np.zeros(count, dtype=np.int32)
        self.solver.addRows(count, lower, upper, 0, starts, none, np.zeros(0))

    def _add_waiting(self) -> None:
        """Add a column for each waiting task, each lost booking and each hours row's overtime."""
        block = int(self.offsets[4])
        columns: list[Entries] = []
        for t in range(len(self.coupling.wait)):
            # A task that waits is as late as can be: it counts in its blocking rows as one done too
            # late.
            rows = [t, *(block + np.flatnonzero(self.coupling.block_task == t)).tolist()]
            columns.append((rows, [1.0] * len(rows)))
        for j in range(len(self.coupling.loss)):
            rows = (block + np.flatnonzero(self.coupling.block_booking == j)).tolist()
            # A lost booking pays for its blocking rows: late + waiting - lost <= 0.
            columns.append((rows, [-1.0] * len(rows)))
        for i, more in enumerate(self.coupling.hour_more.tolist()):
            # All overtime of the day, of which any share may be taken.
            columns.append(([int(self.offsets[5]) + i], [-more]))
        self.waiting = len(columns)
        costs = [*self.coupling.wait, *self.coupling.loss, *self.coupling.more_cost]
        self._add_columns(costs, columns, 1.0)

    def _add_columns(self, costs: list[float], columns: list[Entries], upper: float) -> None:
        count = len(columns)
        if not count:
            return
        starts = np.cumsum([0, *(len(c[0]) for c in columns[:-1])]).astype(np.int32)
        index = np.array([i for c in columns for i in c[0]], dtype=np.int32)
        value = np.array([x for c in columns for x in c[1]], dtype=float)
        zeros, tops = np.zeros(count), np.full(count, upper)
        self.solver.addCols(count, np.array(costs), zeros, tops, len(index), starts, index, value)

    def add(self, patterns: list[Pattern]) -> int:
        """Add the patterns that are not there yet and return how many those are."""
        new: list[Pattern] = []
        for pattern in patterns:
            # A second column of the same pattern would leave the solver a choice without a
            # difference.
            if pattern.rows and pattern.key not in self.place:
                at = self.place[pattern.key] = len(self.patterns) + len(new)
                for row in pattern.rows:
                    self.holding[row].append(at)
                new.append(pattern)
        self.patterns += new
        # Without an upper limit of their own: the row of the mechanic-day limits them, and a limit
        # on the column would take its price away from that row.
        columns = [self._entries(p) for p in new]
        self._add_columns([p.cost for p in new], columns, highspy.kHighsInf)
        return len(new)

    def _entries(self, pattern: Pattern) -> Entries:
        c, chosen = self.coupling, list(pattern.rows)
        _, lane, bay, stock, block, hour, _ = self.offsets.tolist()
        tasks = np.flatnonzero(self.rows.member[chosen].sum(axis=0)).tolist()
        index, value = (
            [*tasks, lane + self.lanes.of_spot[pattern.day, pattern.mechanic]],
            [1.0] * len(tasks),
        )
        value.append(1.0)
        halves = float(self.rows.halves[chosen].sum())
        taken = defaultdict(float, {bay + pattern.day: halves} if halves else {})
        for day, more, hours in self.rows.elsewhere.of(chosen, pattern.day, pattern.mechanic):
            if more:
                taken[bay + day] += more
            if hours:
                taken[hour + self.hour_row[day]] += hours
        if pattern.day in self.hour_row:
            taken[hour + self.hour_row[pattern.day]] += pattern.regular
        index += taken.keys()
        value += taken.values()
        need = self.rows.need[chosen].sum(axis=0)[c.stock_part] * (pattern.day <= c.stock_day)
        drawn = np.flatnonzero(need)
        # What this pattern does too late for a booking.
        late = np.flatnonzero(np.isin(c.block_task, tasks) & (pattern.day >= c.block_day))
        index += [*(stock + drawn).tolist(), *(block + late).tolist()]
        value += [*need[drawn].tolist(), *([1.0] * len(late))]
        for cut, weight in self.cuts.entries(pattern):
            index.append(int(self.offsets[-1]) + cut)
            value.append(weight)
        return index, value

    def add_cuts(self, cuts: Sequence[AnyCut]) -> int:
        """Add the cuts that are not there yet and return how many those are."""
        new = [cut for cut in cuts if self.cuts.add(cut)]
        for cut in new:
            # Only patterns that hold a row of the cut can count: a cut has few of them.
            holding = {i for row in cut.rows for i in self.holding.get(row, ())}
            counted = [(i, cut.of(self.patterns[i])) for i in sorted(holding)]
            index = np.array([self.waiting + i for i, x in counted if x], dtype=np.int32)
            value = np.array([x for _, x in counted if x])
            self.solver.addRow(-highspy.kHighsInf, cut.limit, len(index), index, value)
        return len(new)

    def visits(self) -> Floats:
        """Return how much of each visit the last solution takes on each day, shape (R, H)."""
        taken = np.zeros((len(self.rows.time), self.rows.case.days))
        for share, pattern in zip(self.shares().tolist(), self.patterns, strict=True):
            if share > 0.0:
                taken[list(pattern.rows), pattern.day] += share
        return taken

    def solve(self) -> float:
        """Solve the programme over the patterns known so far and return its money."""
        self.solver.run()
        return float(self.solver.getInfo().objective_function_value)

    def solved(self) -> bool:
        """Tell whether the last run found a solution."""
        return bool(self.solver.getModelStatus() == highspy.HighsModelStatus.kOptimal)

    def hold(self, i: int) -> None:
        """Let every solution take pattern `i` whole, until it is released."""
        self.solver.changeColBounds(self.waiting + i, 1.0, highspy.kHighsInf)

    def bar(self, patterns: Iterable[int]) -> None:
        """Let no solution take the patterns, until they are released."""
        for i in patterns:
            self.solver.changeColBounds(self.waiting + i, 0.0, 0.0)

    def release(self, patterns: Iterable[int]) -> None:
        """Let solutions take as much or little of the patterns as they like."""
        for i in patterns:
            self.solver.changeColBounds(self.waiting + i, 0.0, highspy.kHighsInf)

    def prices(self) -> Prices:
        """Return the prices of the rows at the last solution."""
        dual = np.array(self.solver.getSolution().row_dual)
        return Prices(*np.split(dual, self.offsets[1:]))

    def zero_prices(self, task: Floats) -> Prices:
        """Return prices that are 0 but for the tasks', shape (T,)."""
        sizes = [*np.diff(self.offsets)[1:].tolist(), len(self.cuts.items)]
        return Prices(task, *(np.zeros(n) for n in sizes))

    def shares(self) -> Floats:
        """Return how much of each pattern the last solution takes, shape (patterns,)."""
        return np.array(self.solver.getSolution().col_value)[self.waiting :]
