"""A plan under construction from mechanic-days of the bound's programme."""

import numpy as np

from scheduling.core.planner.bound import Bound, Pattern
from scheduling.core.planner.plan import Draft
from scheduling.core.planner.problem import Flags
from scheduling.core.planner.visits import Visits

Owners = dict[int, tuple[int, int]]
"""For each row of the programme the machine and its row, where they correspond."""


def owners_of(bound: Bound, machines: list[Visits]) -> Owners:
    """Return whose each row of the programme is; split machines have none."""
    place = {(v.machine.id, v.tasks): k for k, v in enumerate(machines)}
    owners = {}
    for i, visits in enumerate(bound.rows.machines):
        k = place.get((visits.machine.id, visits.tasks))
        if k is not None:
            for own_row, row in enumerate(bound.rows.of_machine(i)):
                owners[row] = (k, own_row)
    return owners


class PatternPlan:
    """A `draft` and the tasks `done` in it, (T,); of every lane the mechanic-days still free."""

    def __init__(self, bound: Bound, machines: list[Visits], owners: Owners) -> None:
        self.bound, self.owners = bound, owners
        self.draft = Draft.empty(bound.rows.case, machines)
        # A task may stand in several patterns, of which shares were taken.
        self.done = np.zeros(bound.rows.member.shape[1], dtype=bool)
        self.free = [list(spots) for spots in bound.pricer.lanes.spots]

    def lane(self, pattern: Pattern) -> int:
        """Return the lane of a pattern."""
        return self.bound.pricer.lanes.of_spot[pattern.day, pattern.mechanic]

    def take(self, pattern: Pattern, whole: bool) -> list[int]:
        """Put a pattern's visits in and return the rows that had room.

        With `whole` it is all of them or none.
        """
        spots = self.free[self.lane(pattern)]
        if not spots:
            return []
        # Of equal mechanics the one with whom the visits cost least, as where a plan stood.
        spot = min(spots, key=lambda spot: self._money(pattern.rows, spot))
        before = {
            self.owners[row][0]: list(self.draft.chosen[self.owners[row][0]])
            for row in pattern.rows
            if row in self.owners
        }
        done = self.done.copy()
        taken = [row for row in pattern.rows if self._put(row, spot)]
        if whole and len(taken) < len(pattern.rows):
            self.done = done
            for k, slots in before.items():
                self.draft.clear(k)
                for slot in slots:
                    self.draft.put(k, slot)
            return []
        spots.remove(spot)
        return taken

    def _money(self, rows: tuple[int, ...], spot: tuple[int, int]) -> float:
        """Return what the visits of a pattern cost with a mechanic, whoever is second."""
        # Dearer rows than any: the cheapest crew's price needs no second look at the crews.
        money = 0.0
        for row in rows:
            if row in self.owners:
                k, own_row = self.owners[row]
                visits, (day, w) = self.draft.machines[k], spot
                crews = visits.lead == w
                money += float(visits.cost[own_row, day, crews].min(initial=np.inf))
        return money

    def _put(self, row: int, spot: tuple[int, int]) -> bool:
        """Put one visit in, and tell whether there was room."""
        tasks = self.bound.rows.member[row] > 0
        # A visit of which a task is done already is dropped whole; its other tasks are planned
        # at the end.
        if row not in self.owners or (tasks & self.done).any():
            return False
        k, own_row = self.owners[row]
        # The bound knows second people in part and rounds time down, so what fits a pattern may
        # not fit here.
        slot = self.draft.slot_with(k, own_row, spot)
        if slot is None:
            return False
        self.draft.put(k, slot)
        self.done |= tasks
        return True

    def room(self) -> Flags:
        """Return, in shape (R, N), which visits have room on a free mechanic-day of a lane.

        The order of tasks is left out, as what must come first may come in later.
        """
        table = self.bound.rows
        room = np.zeros((len(table.time), len(self.free)), dtype=bool)
        spots = [(n, *spots[0]) for n, spots in enumerate(self.free) if spots]
        lanes, days, mechanics = np.array(spots, dtype=np.int64).reshape(-1, 3).T
        where = {(v.machine.id, v.tasks): k for k, v in enumerate(self.draft.machines)}
        for i, visits in enumerate(table.machines):
            k = where.get((visits.machine.id, visits.tasks))
            here = table.of_machine(i)
            if k is None:
                room[here.start : here.stop] = True
                continue
            able = np.isfinite(self.draft.price_of_one_more(k))
            able[:, [day for _, day, _ in self.draft.chosen[k]]] = False
            by_lead = np.zeros((*able.shape[:2], table.cost.shape[2]), dtype=bool)
            for crew, w in enumerate(self.draft.machines[k].lead.tolist()):
                by_lead[:, :, w] |= able[:, :, crew]
            room[here.start : here.stop, lanes] = by_lead[:, days, mechanics]
        return room

    def finished(self) -> Draft:
        """Return the draft with every machine priced."""
        for k in range(len(self.draft.machines)):
            self.draft.reprice(k)
        return self.draft
