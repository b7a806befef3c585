"""Improve a plan by planning a few related machines exactly, again and again.

A large neighbourhood search: some machines whose visits stand near each other are freed and the
exact solver plans them anew around the rest.  With several workers as many neighbourhoods are
solved at once, each in its own thread; their answers are taken in a fixed order, so that the
result does not depend on which thread was first.
"""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import InitVar, dataclass, field
from operator import itemgetter
from random import Random

import numpy as np

from scheduling.core.planner.control import RunLimits, Watch
from scheduling.core.planner.plan import Draft
from scheduling.core.planner.problem import Floats

from .candidates import Keep, Rises, within
from .exact_model import Effort, Model, Solution
from .ruin import related_machines
from .stand_ins import StandIns

EXACT = 1e-6
"""Fraction of the cost that is added to the gap against rounding errors."""


@dataclass(slots=True)
class Polish:
    """The setting of the search: rises, the bound (money), limits, the watch.

    `size` is the number of visits offered to the solver for one group; it adapts, from where the
    search `before` left it.  `sorted` are the rises of all visits.  `building` are the seconds that
    the last groups took to be told to the solver.
    """

    rises: Rises
    bound: float
    limits: RunLimits
    watch: Watch
    stand_ins: StandIns
    before: InitVar["Polish | None"] = None
    size: float = field(init=False)
    sorted: Floats = field(init=False)
    building: float = field(init=False, default=0.0)

    def __post_init__(self, before: "Polish | None") -> None:
        self.size = before.size if before else self.limits.tuning.first_group
        # To find the rise below which a wanted number of visits lies.
        self.sorted = np.sort(
            np.concatenate([np.zeros(0), *(r[np.isfinite(r)] for r in self.rises)])
        )

    def once(
        self,
        best: Draft,
        work: float,
        rng: Random,
        beside: Callable[[], None] | None = None,
        turns: int = 1,
    ) -> Draft:
        """Free groups of machines, `turns` one after another a worker; return the better plan.

        `work` is the deterministic time of each exact solve, in the solver's own units.  What is to
        be done `beside` takes the place of one of several workers.
        """
        workers = self.limits.workers
        count = workers if not beside else workers - 1 or 1
        # A source of chance for each, as nobody knows which thread would draw first.
        sources = [Random(rng.randrange(1 << 30)) for _ in range(count)]
        # Threads are enough, as the solver lets other Python threads run while it works.
        if workers == 1:
            (beside or nothing)()
            chains = [self._chain(best, work, turns, sources[0])]
        else:
            with ThreadPoolExecutor(workers) as threads:
                each = ([value] * count for value in (best, work, turns))
                solving = threads.map(self._chain, *each, sources)
                (beside or nothing)()
                chains = list(solving)
        for chain in chains:
            for answer in chain.answers:
                self.size = self._resized(self.size, answer, work)
        # Most gained first, and nothing after it where the time ran out: what a solve that was cut
        # short found must not take the room of another that would gain more.
        chains.sort(key=lambda chain: chain.draft.total())
        for chain in chains[: 1 if self.watch.over() else None]:
            best = merged(best, sorted(chain.freed), chain.draft)
        return best

    def _chain(self, best: Draft, work: float, turns: int, rng: Random) -> "GroupChain":
        """Free one group after another, each in the plan that the one before left."""
        chain, size = GroupChain(best), self.size
        for _ in range(turns):
            if chain.answers and (self.watch.over() or self.too_late()):
                break
            group, keep = self._group(chain.draft, rng, size)
            left = self.watch.left()
            model = Model(chain.draft, group, keep)
            self.building = left - self.watch.left()
            # One thread: such a solve repeats exactly, and several chains keep the workers busy.
            answer = model.solve(Effort(work, self.watch.left(), 1, rng.randrange(1 << 30)))
            if answer.draft is not None and answer.draft.total() < chain.draft.total() - 1e-9:
                chain.draft = answer.draft
                chain.freed.update(group)
            chain.answers.append(answer)
            size = self._resized(size, answer, work)
        return chain

    def too_late(self) -> bool:
        """Tell whether the time that is left would go by before a group could be solved."""
        return self.watch.left() <= self.building

    def _resized(self, size: float, answer: Solution, work: float) -> float:
        """Return the visits to offer next: more where a group was solved to its end, else less."""
        tuning = self.limits.tuning
        if not answer.proven:
            change = tuning.shrinking
        else:
            change = tuning.leap if answer.work < work / 10 else tuning.growth
        return max(tuning.least_group, size * change)

    def _group(self, best: Draft, rng: Random, size: float) -> tuple[list[int], Keep]:
        """Return related machines, as many as the solver can take, and the visits it is offered."""
        count = len(best.machines)
        keep = within(self.rises, self._room(best, rng))
        painful = rng.random() < self.limits.tuning.at_pain
        seed = rng.choices(range(count), self._pains(best))[0] if painful else None
        keep = self.stand_ins.thinned(best, range(count), keep)
        group, offered = [], 0
        # Nearest first, until the visits offered are as many as the solver could lately finish.
        for k in related_machines(best, rng, count, seed):
            group.append(k)
            offered += int(keep[k].sum())
            if offered >= size:
                break
        return sorted(group), keep

    def _room(self, best: Draft, rng: Random) -> float:
        """Return the money by which a visit may raise the bound to be offered."""
        wanted = int(rng.choice(self.limits.tuning.visits) * len(best.machines))
        # A visit that raises the bound past the best plan is in no better plan: never offer more
        # than that.
        gap = best.total() - self.bound + EXACT * abs(best.total())
        return min(gap, self.sorted[wanted]) if wanted < len(self.sorted) else gap

    def _pains(self, best: Draft) -> list[float]:
        """Return for each machine by how much its visits raise the bound."""
        least = max(EXACT, EXACT * abs(best.total()))
        gap = best.total() - self.bound + least
        return [
            # Where a plan's own visits raise the bound, plan and bound disagree: there is most to
            # be won. `least` lets every machine have its turn.
            least + sum(min(gap, float(rise[slot])) for slot in slots)
            for rise, slots in zip(self.rises, best.chosen, strict=True)
        ]


def nothing() -> None:
    """Do nothing."""


@dataclass(slots=True)
class GroupChain:
    """A plan, the machines that were `freed` on the way to it, and the solver's answers."""

    draft: Draft
    freed: set[int] = field(default_factory=set)
    answers: list[Solution] = field(default_factory=list)


def merged(best: Draft, group: list[int], found: Draft | None) -> Draft:
    """Return the plan with the group as in the one found, if that still fits and is cheaper."""
    if found is None:
        return best
    draft = best.copy()
    for k in group:
        draft.clear(k)
    for k in group:
        # By first day, as a visit fits only once what must come before it is in.
        for slot in sorted(found.chosen[k], key=itemgetter(1)):
            # All were found from the same plan; one that was merged before may have taken the
            # room, and then this one is dropped whole.
            if not draft.fits(k, slot):
                return best
            draft.put(k, slot)
        draft.reprice(k)
    return draft if draft.total() < best.total() - 1e-9 else best
