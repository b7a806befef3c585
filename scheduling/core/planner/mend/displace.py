"""Let what has lost its place take that of others, where both together then cost less.

A machine in trouble and one, two or three that stand where it would like to be leave the plan and
come back in turn; the change stays if the plan got cheaper.  Those that were pushed aside may then
push others (an ejection chain; Glover 1996, Discrete Appl. Math. 65:223,
doi 10.1016/0166-218X(94)00037-E).
"""

from collections.abc import Callable
from random import Random

import numpy as np

from scheduling.core.planner.plan import Draft, replan

# A judgement: what it was tuned on is not recorded.
PLACES = 12
"""Days and mechanics looked at for each machine in trouble, the cheapest ones if all had room."""


def displaced(draft: Draft, queue: list[int], rng: Random, stop: Callable[[], bool]) -> Draft:
    """Return a plan that is no dearer, after the machines in `queue` tried to push others aside.

    Each pair and each larger set is tried once a round; rounds go on while one helped.
    """
    best = draft.copy()
    total, waiting = best.total(), list(dict.fromkeys(queue))
    while waiting and not stop():
        pushed: list[int] = []
        for k in waiting:
            for others in _rivals(best, k, rng):
                if stop():
                    return best
                trial = _exchanged(best, k, others)
                cost = trial.total()
                if cost < total - 1e-7:
                    best, total = trial, cost
                    pushed += [k, *others]
        waiting = list(dict.fromkeys(pushed))
    return best


def _exchanged(draft: Draft, k: int, others: list[int]) -> Draft:
    trial = draft.copy()
    for j in (k, *others):
        trial.clear(j)
    # The machine in trouble first: it takes the place, and the others find theirs after it.
    for j in (k, *others):
        replan(trial, j)
    return trial


def _rivals(draft: Draft, k: int, rng: Random) -> list[list[int]]:
    """Return sets of machines that stand where machine `k` would cost least, if there were room."""
    standing: dict[tuple[int, int], list[int]] = {}
    by_day: dict[int, list[int]] = {}
    for j, slots in enumerate(draft.chosen):
        for day, w, _ in (entry for slot in slots for entry in draft.machines[j].work(slot)):
            if j != k:
                standing.setdefault((day, w), []).append(j)
                by_day.setdefault(day, []).append(j)
    visits = draft.machines[k]
    price = visits.cost + (visits.lost @ visits.loss)[:, :, None]
    # Judged by the visit that holds most of its tasks.
    whole = price[int(visits.member.sum(axis=1).argmax())]
    sets: list[list[int]] = []
    for spot in np.argsort(whole, axis=None)[:PLACES].tolist():
        day, crew = divmod(spot, whole.shape[1])
        here = standing.get((day, int(visits.lead[crew])), [])
        sets += [[j] for j in here]
        sets += [[a, b] for a in here for b in here if a < b]
        more = [j for j in by_day.get(day, []) if j not in here]
        if here and more:
            sets.append([rng.choice(here), rng.choice(more)])
        if len(here) > 2:
            sets.append(rng.sample(here, 3))
    return sets
