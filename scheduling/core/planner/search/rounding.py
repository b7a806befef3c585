"""Turn the fractional solution over patterns into plans.

Patterns are taken in order of how much of them the linear programme takes, each as far as its
tasks are still open; what is left over is planned machine by machine.  With a little noise the
order differs, and the best of some tries is a good start for improvement.
"""

from collections.abc import Callable
from random import Random

import numpy as np

from scheduling.core.planner.bound import Bound
from scheduling.core.planner.plan import Draft, by_stake, completed
from scheduling.core.planner.visits import Visits

from .pattern_plan import PatternPlan, owners_of

# A judgement; what it was tuned on is not recorded. Without noise there is one rounding only.
NOISE = 0.3
"""How much a pattern's share is blurred, as a fraction of a whole pattern."""


class Rounding:
    """Plans from the last solution of the programme; `tries` differ by their noise."""

    def __init__(self, bound: Bound, machines: list[Visits]) -> None:
        self.bound, self.machines = bound, machines
        self.shares = bound.master.shares()
        self.used = np.flatnonzero(self.shares > 1e-6).tolist()
        self.owners = owners_of(bound, machines)
        self.order = by_stake(machines)

    def attempt(self, rng: Random | None) -> Draft:
        """Return a plan of whole mechanic-days from one order of the patterns.

        Without `rng` the order is that of their shares alone.
        """
        blur = [NOISE * rng.random() if rng else 0.0 for _ in self.used]
        order = sorted(range(len(self.used)), key=lambda i: -self.shares[self.used[i]] - blur[i])
        plan = PatternPlan(self.bound, self.machines, self.owners)
        for i in order:
            plan.take(self.bound.master.patterns[self.used[i]], whole=False)
        return completed(plan.finished(), self.order)


def best_rounding(rounding: Rounding, tries: int, rng: Random, stop: Callable[[], bool]) -> Draft:
    """Return the cheapest of some plans made from the fractional solution."""
    best = rounding.attempt(None)
    for _ in range(tries):
        if stop():
            break
        best = min(best, rounding.attempt(rng), key=Draft.total)
    return best
