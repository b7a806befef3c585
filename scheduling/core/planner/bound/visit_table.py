"""All visits of a yard as one table: the rows of every machine below each other.

Search works machine by machine (`visits`); linear programmes and pricing want one array.
"""

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array

from scheduling.core.planner.problem import Case, Floats, Ints
from scheduling.core.planner.visits import Visits

from .elsewhere import Elsewhere, elsewhere_of


@dataclass(frozen=True, slots=True)
class VisitTable:
    """R rows of K machines in pricing order (yard first, then ranch by ranch), T tasks.

    `starts` (K+1,) bounds the rows of each machine; `member` (R, T); `cost` (R, H, W);
    `halves` (R,) is 0 at a ranch; `need` (R, P); `tasks` and `machines` name the columns.  What a
    visit takes besides its mechanic's first day is `elsewhere`.
    """

    case: Case
    machines: tuple[Visits, ...]
    starts: Ints
    member: Floats
    sparse_member: csr_array
    cost: Floats
    time: Ints
    halves: Ints
    need: Floats
    sparse_need: csr_array
    site: Ints
    elsewhere: Elsewhere

    @property
    def task_ids(self) -> list[str]:
        """Return the tasks' ids in the order of the columns of `member`."""
        return [t.id for v in self.machines for t in v.tasks]

    def of_machine(self, k: int) -> range:
        """Return the rows of machine `k`."""
        return range(int(self.starts[k]), int(self.starts[k + 1]))


def stack(case: Case, machines: list[Visits]) -> VisitTable:
    """Return the rows of all machines as one table, R in all; yard first, then ranch by ranch.

    Its arrays have the shapes that `VisitTable` states.
    """
    # Machines of one ranch stand together, as pricing passes each ranch as one block (`knapsack`).
    ordered = tuple(sorted(machines, key=lambda v: v.site))
    counts = [len(v.masks) for v in ordered]
    starts = np.concatenate([[0], np.cumsum(counts)]).astype(np.int64)
    task_starts = np.concatenate([[0], np.cumsum([len(v.tasks) for v in ordered])]).astype(int)
    rows, tasks = int(starts[-1]), int(task_starts[-1])
    member, need = np.zeros((rows, tasks)), np.zeros((rows, len(case.parts)))
    for k, v in enumerate(ordered):
        here = slice(int(starts[k]), int(starts[k + 1]))
        member[here, task_starts[k] : task_starts[k + 1]] = v.member
        need[here, v.parts] = v.need
    shape = (0, case.days, len(case.mechanics))
    empty = np.zeros(0, dtype=np.int64)
    return VisitTable(
        case=case,
        machines=ordered,
        starts=starts,
        member=member,
        sparse_member=csr_array(member),
        # A visit by a crew is priced as its mechanic's alone at the cheapest second person: a
        # relaxation.
        cost=np.concatenate([np.zeros(shape), *(v.by_mechanic for v in ordered)]),
        # Rounded down, unlike in plans, so that the bound holds for every way of rounding.
        time=np.concatenate([empty, *(v.time_low for v in ordered)]),
        halves=np.concatenate([empty, *(v.halves * (v.site < 0) for v in ordered)]),
        need=need,
        sparse_need=csr_array(need),
        site=np.array([v.site for v in ordered], dtype=np.int64),
        elsewhere=elsewhere_of(ordered, starts[:-1], case.scale),
    )
