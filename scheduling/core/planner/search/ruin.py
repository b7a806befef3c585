"""Improve a plan by taking related machines out and planning them again, over and over.

Ruin and recreate (Schrimpf et al. 2000, J. Comput. Phys. 159:139, doi 10.1006/jcph.1999.6413):
a few machines whose visits or due dates lie near each other leave the plan and come back one by
one, each as well as it can be; a worse plan is accepted while it is within a shrinking threshold
of the best.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import inf, log
from random import Random

import numpy as np

from scheduling.core.planner.plan import Draft, replan, urgency

# Judgement, as are the temperatures below: what they were tuned on is not recorded.
SMALLEST_RUIN, LARGEST_RUIN = 2, 9
"""Machines taken out at a time."""

NOISE = 0.02
"""Blur of the prices when a machine is put back, as a fraction of the mean cost of a machine."""


@dataclass(frozen=True, slots=True)
class Cooling:
    """Temperatures at the first and last round, as fractions of the mean cost of a machine."""

    start: float
    end: float
    rounds: int = 1

    def over(self, rounds: int) -> "Cooling":
        """Return the same cooling spread over `rounds`."""
        return Cooling(self.start, self.end, max(1, rounds))

    def heat(self, step: int) -> float:
        """Return the temperature at round `step`, as a fraction of the mean cost of a machine."""
        return float(self.start * (self.end / self.start) ** (step / self.rounds))


WARM = Cooling(0.5, 0.01)
"""For a first plan, which is far from the best."""

COOL = Cooling(0.02, 0.005)
"""For a plan that stands close to the best."""


def ruin_and_recreate(
    start: Draft,
    cooling: Cooling,
    rng: Random,
    stop: Callable[[], bool],
    patience: float = inf,
) -> Draft:
    """Return the best plan found while `cooling`, or until `stop` says so.

    `patience` is the number of rounds without a better plan after which it is left.
    """
    best, best_total, found_at = start, start.total(), 0
    current, current_total = start.copy(), best_total
    keys = [urgency(v) for v in start.machines]
    # Temperatures are fractions of a machine's mean cost, so that one setting serves small shops
    # and large, cents and thousands.
    mean = best_total / max(1, len(keys))
    for step in range(cooling.rounds):
        if stop() or not start.machines or step - found_at > patience:
            break
        trial = current.copy()
        out = related_machines(trial, rng, rng.randint(SMALLEST_RUIN, LARGEST_RUIN))
        recreate(trial, out, keys, rng, NOISE * mean)
        total = trial.total()
        heat = mean * cooling.heat(step)
        # -log(1 - u) is drawn exponentially with mean 1, so a plan dearer by x is taken with chance
        # exp(-x / heat): the rule of simulated annealing (Kirkpatrick, Gelatt, Vecchi 1983, Science
        # 220:671, doi 10.1126/science.220.4598.671).
        if total < current_total - heat * log(1.0 - rng.random()):
            current, current_total = trial, total
        if total < best_total - 1e-7:
            best, best_total, found_at = trial.copy(), total, step
    return best


def related_machines(draft: Draft, rng: Random, size: int, seed: int | None = None) -> list[int]:
    """Return `size` machines whose visits stand few days from one's, nearest first.

    That one is `seed`, or else a random machine; waiting machines count by their due day.
    """
    count = len(draft.machines)
    seed = rng.randrange(count) if seed is None else seed
    centre = rng.choice(_days(draft, seed))
    distance = [
        # Up to three days of chance, so that not the same machines meet every time.
        (min(abs(day - centre) for day in _days(draft, k)) + 3.0 * rng.random(), k)
        for k in range(count)
        if k != seed
    ]
    distance.sort()
    return [seed, *(k for _, k in distance[: size - 1])]


def _days(draft: Draft, k: int) -> list[float]:
    slots = draft.chosen[k]
    days = [float(day) for _, day, _ in slots]
    if draft.waiting(k).any():
        days.append(draft.machines[k].tasks[0].due.p50)
    return days


def recreate(
    draft: Draft, out: list[int], keys: list[tuple[float, float]], rng: Random, noise: float
) -> None:
    """Take the machines `out` of the plan and put them back in a random order of some sense.

    `noise` blurs the prices (money); `keys` are the urgencies, whose first part is a day.
    """
    for k in out:
        draft.clear(k)
    order = list(out)
    rng.shuffle(order)
    if rng.random() < 0.3:
        order.sort(key=keys.__getitem__)
    # Machines with a limit always come first: nothing that may wait shall take their room. The sort
    # is stable, so the random order stands otherwise.
    order.sort(key=lambda k: keys[k][0] == np.inf)
    # Cubed: mostly hardly any blur, now and then a lot.
    blur = noise * rng.random() ** 3
    for k in order:
        rows = len(draft.machines[k].masks)
        replan(draft, k, np.array([rng.random() * blur for _ in range(rows)]))
