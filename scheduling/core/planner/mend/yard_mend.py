"""Mend one yard's plan: what can stay stays, the rest finds its place at the least disturbance.

1. As much of the standing plan as can stay is kept (`change_penalty.most_standing`, proven).
2. What had to leave, or is new, goes where it costs least while the others stay.
3. Others may move as well where that saves more than the price of a move: by displacing them
   (`displace`), then exactly over all visits where the yard is small, which proves the plan,
   else by ruin and recreate and exactly over a few machines at a time around the trouble.
"""

from dataclasses import dataclass
from random import Random

import numpy as np

from scheduling.core.planner.answer import Clash
from scheduling.core.planner.control import Tuning, Watch
from scheduling.core.planner.explain import clashes_of
from scheduling.core.planner.plan import Draft, completed, placed_plan
from scheduling.core.planner.problem import Case, Problem, case_of
from scheduling.core.planner.run import WORK_TO_KEEP
from scheduling.core.planner.search import (
    COOL,
    PROOF,
    Effort,
    Model,
    all_visits,
    keep_most,
    merged,
    related_machines,
    ruin_and_recreate,
)
from scheduling.core.planner.visits import Visits, visits_of

from .change_penalty import ChangePenalty, most_standing, penalised_case, rebuilt, with_move_prices
from .displace import displaced

# These and the numbers below were chosen by judgement; `mend_benchmark` shows what a mend costs and
# how many moves it makes.
WORK, WORK_OF_ALL = 1.0, 20.0
"""Deterministic time of an exact solve over a few machines, and over a small yard."""

SHARE_TO_DISPLACE = 0.6
"""Largest share of the time left in which machines may push each other aside."""

ROUNDS = 10
"""Rounds of ruin and recreate for each machine."""

GROUP = 12
"""Machines planned anew at a time."""

FRUITLESS = 6
"""Groups without any gain after which the search is over."""


@dataclass(frozen=True, slots=True)
class Means:
    """What a mend may use: the price of moves, time, threads, and the seed."""

    penalty: ChangePenalty
    watch: Watch
    workers: int
    seed: int

    def effort(self, work: float, share: float = 1.0) -> Effort:
        """Return what one exact solve may take: at most `share` of the seconds left."""
        seconds = max(0.02, share * self.watch.left())
        return Effort(work, seconds, self.workers, self.seed)


@dataclass(frozen=True, slots=True)
class MendedYard:
    """A mended yard: its plan without the price of moves, and the part that can `stand`.

    `least` tasks have to leave their places in every plan; `optimal` tells whether it is proven
    that no plan costs less with the price of its moves.
    """

    draft: Draft
    stand: Draft
    least: int
    optimal: bool
    clashes: tuple[Clash, ...]
    fewest: bool


class YardMend:
    """The state of one yard's mend: the best plan so far, and the money proven for all."""

    def __init__(self, problem: Problem, means: Means) -> None:
        self.means, self.rng = means, Random(means.seed)
        self.case: Case = penalised_case(case_of(problem), means.penalty)
        self.plain: list[Visits] = visits_of(self.case)
        self.machines = with_move_prices(self.case, self.plain, means.penalty)
        standing = most_standing(self.case, self.machines, means.effort(WORK_OF_ALL, 0.3))
        self.least, self.standing = standing.least, standing.draft
        self.best: Draft = completed(standing.draft)
        self.proven = 0.0

    def offer(self, draft: Draft | None) -> None:
        """Keep the plan if it is better than the best so far."""
        if draft is not None and draft.total() < self.best.total() - 1e-9:
            self.best = draft

    def troubled(self) -> list[int]:
        """Return the machines of which a task cannot stay or stood nowhere."""
        return [k for k in range(len(self.machines)) if self.standing.waiting(k).any()]

    def optimal(self) -> bool:
        """Tell whether the best plan is proven."""
        total = self.best.total()
        return total - self.proven <= PROOF * total

    def settle(self) -> None:
        """Let what has lost its place push others aside."""
        over = self.means.watch.part(SHARE_TO_DISPLACE).over
        self.offer(displaced(self.best, self._pressing(), self.rng, over))

    def _pressing(self) -> list[int]:
        """Return the troubled machines of which a task stood, or may not wait.

        What only waited before waits no worse than it did: in a full shop the first seconds would
        go to all of those.
        """
        problem, pressing = self.case.problem, []
        for k in self.troubled():
            waiting = np.flatnonzero(self.standing.waiting(k))
            tasks = [self.machines[k].tasks[i] for i in waiting]
            if any(t.previous is not None or not problem.may_wait(t) for t in tasks):
                pressing.append(k)
        return pressing

    def run(self) -> None:
        """Improve the plan until it is proven, nothing helps any more, or the seconds are over."""
        # Where everything can stay nothing is touched, even where a cheaper plan exists: people
        # have read this one.
        if not self.troubled():
            return
        if sum(int(k.sum()) for k in all_visits(self.machines)) <= Tuning().whole_yard:
            self._whole()
            return
        over = self.means.watch.part(SHARE_TO_DISPLACE).over
        cool = COOL.over(ROUNDS * len(self.machines))
        self.offer(ruin_and_recreate(self.best, cool, self.rng, over))
        self.offer(displaced(self.best, self._moved(), self.rng, over))
        self._around(self.troubled())

    def _whole(self) -> None:
        everything = list(range(len(self.machines)))
        model = Model(self.best, everything, all_visits(self.machines))
        answer = model.solve(self.means.effort(WORK_OF_ALL))
        self.offer(answer.draft)
        # Sets that are not offered might be cheaper, so nothing is proven without all of them.
        if answer.draft is not None and all(v.complete for v in self.machines):
            self.proven = min(answer.bound, self.best.total())

    def _around(self, troubled: list[int]) -> None:
        """Plan groups of machines around the trouble anew, first all of the trouble together."""
        group, fruitless, took = troubled[: 2 * GROUP], 0, 0.0
        keep, watch = all_visits(self.machines), self.means.watch
        while fruitless < FRUITLESS and watch.left() > took:
            before, began = self.best.total(), watch.elapsed()
            answer = Model(self.best, group, keep).solve(self.means.effort(WORK))
            self.offer(merged(self.best, group, answer.draft))
            fruitless = 0 if self.best.total() < before else fruitless + 1
            centre = self.rng.choice(self._moved())
            group = sorted(related_machines(self.best, self.rng, GROUP, centre))
            took = watch.elapsed() - began

    def _moved(self) -> list[int]:
        """Return the machines whose visits are not those that stood."""
        return [
            k
            for k, slots in enumerate(self.best.chosen)
            if set(slots) != set(self.standing.chosen[k]) or self.standing.waiting(k).any()
        ]


def mend_yard(problem: Problem, means: Means) -> MendedYard:
    """Return the mended plan of a problem with one yard, in which no day is frozen."""
    work = YardMend(problem, means)
    work.settle()
    least, fewest = work.least, True
    clashes: tuple[Clash, ...] = ()
    if work.best.unkept():
        kept = keep_most(work.case, means.effort(WORK_TO_KEEP, 0.3))
        clashes, fewest = clashes_of(work.case, kept), kept.proven
        if kept.unkept:
            work = YardMend(problem.released(frozenset(kept.unkept)), means)
            work.settle()
        if work.best.unkept():
            work.offer(completed(placed_plan(work.case, work.machines, kept.places)))
    work.run()
    # A yard without trouble is left as it stands, which is all that was asked of it.
    optimal = (work.optimal() or not work.troubled()) and not clashes
    # The price of moves was for the search; what is told is priced as every plan is.
    draft, stand = (rebuilt(work.case, work.plain, x) for x in (work.best, work.standing))
    return MendedYard(draft, stand, least, optimal, clashes, fewest)
