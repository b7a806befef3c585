"""Move one task of one machine in a plan while everything else stays.

The task leaves its visit, or waits, and comes back in a visit of its own or in another visit of
its machine: the smallest change there is, from which reasons are made.
"""

from collections.abc import Iterable

import numpy as np

from scheduling.core.planner.plan import Draft
from scheduling.core.planner.problem import Floats
from scheduling.core.planner.visits import Slot, Visits


def members(visits: Visits, slot: Slot) -> list[int]:
    """Return the tasks of a visit."""
    return [int(i) for i in np.flatnonzero(visits.member[slot[0]])]


class TaskPlacer:
    """Places for the tasks of machine `k`, one at a time."""

    def __init__(self, visits: Visits, k: int) -> None:
        self.visits, self.k = visits, k
        self.rows = {int(mask): row for row, mask in enumerate(visits.masks)}

    def without(self, draft: Draft, slot: Slot, i: int) -> Draft | None:
        """Return the plan with task `i` taken out of its visit, or None if the rest cannot be."""
        rest = int(self.visits.masks[slot[0]]) & ~(1 << i)
        found = draft.copy()
        found.clear(self.k)
        for other in draft.chosen[self.k]:
            if other != slot:
                found.put(self.k, other)
        if rest:
            # The others of the visit stay on their day; without the task the visit may be cheaper
            # or need nobody second.
            kept = self._like(found, rest, slot)
            if kept is None:
                return None
            found.put(self.k, kept)
        found.reprice(self.k)
        return found

    def free(self, without: Draft, i: int) -> Floats:
        """Return what a visit for task `i` alone would add, infinite where none can be.

        Money, shape (H, C).  That the task waits no longer is not taken off.
        """
        return without.beside(self.k)[self.rows[1 << i]]

    def on_its_own(self, without: Draft, free: Floats, i: int) -> Draft | None:
        """Return the plan with task `i` in its cheapest own visit, by `free` of shape (H, C)."""
        if not free.size:
            return None
        day, w = np.unravel_index(int(free.argmin()), free.shape)
        if not np.isfinite(free[day, w]):
            return None
        draft = without.copy()
        draft.put(self.k, (self.rows[1 << i], int(day), int(w)))
        draft.reprice(self.k)
        return draft

    def joined(self, without: Draft, i: int, barred: Iterable[Slot]) -> list[Draft]:
        """Return the plans with task `i` in one of its machine's visits, but for `barred` ones."""
        kept = [self._in_visit(without, other, i, set(barred)) for other in without.chosen[self.k]]
        return [draft for draft in kept if draft is not None]

    def cheapest(self, draft: Draft, i: int) -> Draft | None:
        """Return the cheapest plan with task `i`, which waits, in a visit of its own or another."""
        options = [self.on_its_own(draft, self.free(draft, i), i), *self.joined(draft, i, ())]
        found = [option for option in options if option is not None]
        return min(found, key=Draft.total) if found else None

    def _in_visit(self, without: Draft, other: Slot, i: int, barred: set[Slot]) -> Draft | None:
        mask = int(self.visits.masks[other[0]]) | 1 << i
        # That would be the visit that the task has just left.
        if any((self.rows.get(mask), other[1]) == (row, day) for row, day, _ in barred):
            return None
        draft = without.copy()
        draft.clear(self.k)
        for kept in without.chosen[self.k]:
            if kept != other:
                draft.put(self.k, kept)
        slot = self._like(draft, mask, other)
        if slot is None:
            return None
        draft.put(self.k, slot)
        draft.reprice(self.k)
        return draft

    def _like(self, draft: Draft, mask: int, slot: Slot) -> Slot | None:
        """Return the visit of some tasks at the place of another, if there is such and room."""
        if mask not in self.rows:
            return None
        lead, second = int(self.visits.lead[slot[2]]), int(self.visits.second[slot[2]])
        return draft.slot_with(self.k, self.rows[mask], (slot[1], lead), second)
