"""Turn the fractional solution over patterns into plans.

Patterns are taken in order of how much of them the linear programme takes, each as far as its
tasks are still open; what is left over is planned machine by machine.  With a little noise the
order differs, and the best of some tries is a good start for improvement.
"""

from collections.abc import Callable
from random import Random

import numpy as np

from scheduling.core.planner.bound import Bound
from scheduling.core.planner.plan import Draft, completed
from scheduling.core.planner.problem import Flags
from scheduling.core.planner.visits import Slot, Visits

# A judgement; what it was tuned on is not recorded. Without noise there is one rounding only.
NOISE = 0.3
"""How much a pattern's share is blurred, as a fraction of a whole pattern."""


class Rounding:
    """Plans from the last solution of the programme; `tries` differ by their noise."""

    def __init__(self, bound: Bound, machines: list[Visits]) -> None:
        self.bound, self.machines = bound, machines
        self.shares = bound.master.shares()
        self.used = np.flatnonzero(self.shares > 1e-6).tolist()
        self.owner = _owners(bound, machines)
        self.money = [v.by_mechanic for v in machines]

    def attempt(self, rng: Random | None) -> Draft:
        """Return a plan of whole mechanic-days from one order of the patterns.

        Without `rng` the order is that of their shares alone.
        """
        blur = [NOISE * rng.random() if rng else 0.0 for _ in self.used]
        order = sorted(range(len(self.used)), key=lambda i: -self.shares[self.used[i]] - blur[i])
        draft = Draft.empty(self.bound.rows.case, self.machines)
        # A task may stand in several patterns, of which shares were taken.
        done = np.zeros(self.bound.rows.member.shape[1], dtype=bool)
        lanes = self.bound.pricer.lanes
        free = [list(spots) for spots in lanes.spots]
        for i in order:
            pattern = self.bound.master.patterns[self.used[i]]
            spots = free[lanes.of_spot[pattern.day, pattern.mechanic]]
            if spots:
                # Of equal mechanics the one with whom the visits cost least, as where a plan stood.
                day, w = min(spots, key=lambda spot: self._money(pattern.rows, spot))
                spots.remove((day, w))
                self._take(draft, [(row, day, w) for row in pattern.rows], done)
        for k in range(len(self.machines)):
            draft.reprice(k)
        return completed(draft)

    def _money(self, rows: tuple[int, ...], spot: tuple[int, int]) -> float:
        """Return what the visits of a pattern cost with a mechanic, whoever is second."""
        owners = (self.owner.get(row) for row in rows)
        return sum(float(self.money[k][row][spot]) for k, row in filter(None, owners))

    def _take(self, draft: Draft, slots: list[Slot], done: Flags) -> None:
        for row, day, w in slots:
            tasks = self.bound.rows.member[row] > 0
            owner = self.owner.get(row)
            # A visit of which a task is done already is dropped whole; its other tasks are planned
            # at the end.
            if owner is None or (tasks & done).any():
                continue
            k, own_row = owner
            # The bound knows no second people and rounds time down, so what fits a pattern may not
            # fit here.
            slot = draft.slot_with(k, own_row, (day, w))
            if slot is not None:
                draft.put(k, slot)
                done |= tasks


def _owners(bound: Bound, machines: list[Visits]) -> dict[int, tuple[int, int]]:
    """Return for each row of the programme the machine and its row, where they correspond."""
    place = {(v.machine.id, v.tasks): k for k, v in enumerate(machines)}
    owners = {}
    for i, visits in enumerate(bound.rows.machines):
        k = place.get((visits.machine.id, visits.tasks))
        if k is not None:
            for own_row, row in enumerate(bound.rows.of_machine(i)):
                owners[row] = (k, own_row)
    return owners


def best_rounding(rounding: Rounding, tries: int, rng: Random, stop: Callable[[], bool]) -> Draft:
    """Return the cheapest of some plans made from the fractional solution."""
    best = rounding.attempt(None)
    for _ in range(tries):
        if stop():
            break
        best = min(best, rounding.attempt(rng), key=Draft.total)
    return best
