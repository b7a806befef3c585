"""Improve a plan by planning a few related machines exactly, again and again.

A large neighbourhood search: some machines whose visits stand near each other are freed and the
exact solver plans them anew around the rest.  With several workers as many neighbourhoods are
solved at once, each in its own thread; their answers are taken in a fixed order, so that the
result does not depend on which thread was first.
"""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from random import Random

from .candidates import Keep
from .load import Load
from .model import Answer, Effort, Model
from .ruin import related_machines
from .watch import Watch

SMALLEST, LARGEST = 6, 20
"""Machines freed at a time."""


@dataclass(frozen=True, slots=True)
class Polish:
    """The setting of the search: visits worth looking at, threads, and the watch."""

    keep: Keep
    workers: int
    watch: Watch

    def once(self, best: Load, work: float, rng: Random) -> Load:
        """Free one group of machines a worker; return the plan with what got better.

        `work` is the deterministic time of each exact solve.
        """
        groups = [self._group(best, rng) for _ in range(self.workers)]
        seeds = [rng.randrange(1 << 30) for _ in groups]
        models = [Model(best, group, self.keep) for group in groups]
        efforts = [Effort(work, self.watch.left(), 1, seed) for seed in seeds]
        if self.workers == 1:
            answers = [models[0].solve(efforts[0])]
        else:
            with ThreadPoolExecutor(self.workers) as threads:
                answers = list(threads.map(Model.solve, models, efforts))
        for group, answer in zip(groups, answers, strict=True):
            best = merged(best, group, answer)
        return best

    def _group(self, best: Load, rng: Random) -> list[int]:
        return sorted(related_machines(best, rng, rng.randint(SMALLEST, LARGEST)))


def merged(best: Load, group: list[int], answer: Answer) -> Load:
    """Return the plan with the group as in the answer, if that still fits and is cheaper."""
    if answer.load is None:
        return best
    load = best.copy()
    for k in group:
        load.clear(k)
    for k in group:
        for slot in answer.load.chosen[k]:
            if not load.fits(k, slot):
                return best
            load.put(k, slot)
        load.reprice(k)
    return load if load.total() < best.total() - 1e-9 else best
