"""Improve a plan by planning a few related machines exactly, again and again.

A large neighbourhood search: some machines whose visits stand near each other are freed and the
exact solver plans them anew around the rest.  With several workers as many neighbourhoods are
solved at once, each in its own thread; their answers are taken in a fixed order, so that the
result does not depend on which thread was first.
"""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from operator import itemgetter
from random import Random

from .candidates import Keep, Rises, within
from .load import Load
from .model import Answer, Effort, Model
from .ruin import related_machines
from .watch import Watch

SHARES = (0.03, 0.06, 0.12, 0.25, 0.5)
"""Shares of the gap by which a visit may raise the bound to be offered, one drawn for each group.

The whole gap would be exact; but hardly a visit of the best plans raises the bound by more than a
small part of it, and with fewer visits a machine more machines can be planned at a time.
"""

FIRST_SIZE, LEAST_SIZE = 600.0, 60.0
"""Visits offered to the solver for one group, at first and at least."""

GROWTH, SHRINKING = 1.08, 0.85
"""Change of that number after a group that was solved to its end, and after one that was not."""


@dataclass(slots=True)
class Polish:
    """The setting of the search: rises, the bound (money), threads, the watch; `size` adapts."""

    rises: Rises
    bound: float
    workers: int
    watch: Watch
    size: float = FIRST_SIZE

    def once(self, best: Load, work: float, rng: Random) -> Load:
        """Free one group of machines a worker; return the plan with what got better.

        `work` is the deterministic time of each exact solve.
        """
        groups = [self._group(best, rng) for _ in range(self.workers)]
        seeds = [rng.randrange(1 << 30) for _ in groups]
        models = [Model(best, group, keep) for group, keep in groups]
        efforts = [Effort(work, self.watch.left(), 1, seed) for seed in seeds]
        if self.workers == 1:
            answers = [models[0].solve(efforts[0])]
        else:
            with ThreadPoolExecutor(self.workers) as threads:
                answers = list(threads.map(Model.solve, models, efforts))
        for (group, _), answer in zip(groups, answers, strict=True):
            self.size *= GROWTH if answer.proven else SHRINKING
            best = merged(best, group, answer)
        self.size = max(LEAST_SIZE, self.size)
        return best

    def _group(self, best: Load, rng: Random) -> tuple[list[int], Keep]:
        """Return related machines, as many as the solver can take, and the visits it is offered."""
        gap = best.total() - self.bound
        keep = within(self.rises, rng.choice(SHARES) * gap + 1e-6 * abs(best.total()))
        group, offered = [], 0
        for k in related_machines(best, rng, len(best.machines)):
            group.append(k)
            offered += int(keep[k].sum())
            if offered >= self.size:
                break
        return sorted(group), keep


def merged(best: Load, group: list[int], answer: Answer) -> Load:
    """Return the plan with the group as in the answer, if that still fits and is cheaper."""
    if answer.load is None:
        return best
    load = best.copy()
    for k in group:
        load.clear(k)
    for k in group:
        for slot in sorted(answer.load.chosen[k], key=itemgetter(1)):
            if not load.fits(k, slot):
                return best
            load.put(k, slot)
        load.reprice(k)
    return load if load.total() < best.total() - 1e-9 else best
