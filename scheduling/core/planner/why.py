"""Say why a task stands on its day, by pricing the other days instead of telling a story.

Each task is moved alone, everything else staying: the cheapest other place shows what this one
saves, term by term, and a day that looks cheaper shows the first rule or the room that forbids
it.  Days are numbers; whoever shows the sentence on a page may build it anew from `Reason`.
"""

from dataclasses import replace

import numpy as np

from .cost import price
from .load import Load, Slot, own_cost
from .obstacle import obstacle
from .problem import Problem
from .reason import CENT, Reason
from .rules import fixed_spot
from .visits import Visits
from .watch import Watch

TOO_LATE = "The other places were not priced: the time was up."


def explain(load: Load, watch: Watch) -> dict[str, str]:
    """Return a sentence for each planned task; a plain one for those left when time is over."""
    sentences: dict[str, str] = {}
    for k, slots in enumerate(load.chosen):
        if slots and watch.over():
            planned = np.flatnonzero(~load.waiting(k))
            sentences |= {load.machines[k].tasks[i].id: TOO_LATE for i in planned}
            continue
        explainer = Explainer(load, k)
        for slot in slots:
            for i in np.flatnonzero(load.machines[k].member[slot[0]]):
                sentences[load.machines[k].tasks[i].id] = explainer.reason(slot, int(i)).sentence()
    return sentences


class Explainer:
    """Prices other places for the tasks of one machine of a plan."""

    def __init__(self, load: Load, k: int) -> None:
        self.load, self.k = load, k
        self.visits: Visits = load.machines[k]
        self.rows = {int(mask): row for row, mask in enumerate(self.visits.masks)}
        problem = load.case.problem
        tasks = {t.id: problem.tasks[t.id] for t in self.visits.tasks}
        machine = self.visits.machine
        self.alone: Problem = replace(problem, machines={machine.id: machine}, tasks=tasks)

    def reason(self, slot: Slot, i: int) -> Reason:
        """Return why task `i` stands in the visit `slot`."""
        task = self.visits.tasks[i]
        together = tuple(self.visits.tasks[j].id for j in self._members(slot) if j != i)
        fixed = fixed_spot(self.load.case.problem, task)
        if fixed is not None:
            held = self.load.case.problem.held(task)
            kind = "it stood in the frozen days" if held else "it is pinned here"
            return Reason(fixed=kind, together=together)
        without = self._without(slot, i)
        if without is None:
            return Reason(together=together)
        best = self._cheapest_other(without, slot, i)
        more = _difference(self._terms(best), self._terms(self.load)) if best else ()
        day, saving, rule = self._barred(without, slot, i)
        return Reason(
            other=best.places_of(self.k)[task.id] if best else None,
            more=more,
            barred_day=day,
            barred_saving=saving,
            barred_by=rule,
            together=together,
        )

    def _without(self, slot: Slot, i: int) -> Load | None:
        """Return the plan with task `i` taken out of its visit, or None if the rest cannot be."""
        rest = int(self.visits.masks[slot[0]]) & ~(1 << i)
        load = self.load.copy()
        load.clear(self.k)
        for other in self.load.chosen[self.k]:
            if other != slot:
                load.put(self.k, other)
        if rest:
            if rest not in self.rows:
                return None
            kept = self._same_day(load, self.rows[rest], slot)
            if kept is None:
                return None
            load.put(self.k, kept)
        load.reprice(self.k)
        return load

    def _terms(self, load: Load) -> dict[str, float]:
        """Return the money of this machine by term, with all overtime and trips of the yard."""
        return price(self.alone, load.places_of(self.k)) | load.shared_money()

    def _cheapest_other(self, without: Load, slot: Slot, i: int) -> Load | None:
        """Return the best plan with task `i` elsewhere: a visit of its own or another visit."""
        options = [self._joined(without, other, i) for other in without.chosen[self.k]]
        options.append(self._on_its_own(without, slot, i))
        found = [o for o in options if o is not None]
        return min(found, key=Load.total) if found else None

    def _joined(self, without: Load, other: Slot, i: int) -> Load | None:
        row = self.rows.get(int(self.visits.masks[other[0]]) | 1 << i)
        was = self.load.chosen[self.k]
        if row is None or any((row, other[1]) == (r, d) for r, d, _ in was):
            return None
        load = without.copy()
        load.clear(self.k)
        for kept in without.chosen[self.k]:
            if kept != other:
                load.put(self.k, kept)
        joined = self._same_day(load, row, other)
        return None if joined is None else self._put(load, joined)

    def _on_its_own(self, without: Load, slot: Slot, i: int) -> Load | None:
        row = self.rows[1 << i]
        free = without.beside(self.k)[row]
        if len(self._members(slot)) == 1:
            free[slot[1], slot[2]] = np.inf
        day, w = np.unravel_index(int(free.argmin()), free.shape)
        if not np.isfinite(free[day, w]):
            return None
        return self._put(without.copy(), (row, int(day), int(w)))

    def _put(self, load: Load, slot: Slot) -> Load | None:
        if not load.fits(self.k, slot):
            return None
        load.put(self.k, slot)
        load.reprice(self.k)
        return load

    def _same_day(self, load: Load, row: int, slot: Slot) -> Slot | None:
        """Return the visit of `row` on the day of `slot` with its mechanic, if there is room."""
        lead, second = int(self.visits.lead[slot[2]]), int(self.visits.second[slot[2]])
        return load.slot_with(self.k, row, (slot[1], lead), second)

    def _members(self, slot: Slot) -> list[int]:
        return np.flatnonzero(self.visits.member[slot[0]]).tolist()

    def _barred(self, without: Load, slot: Slot, i: int) -> tuple[int | None, float, str]:
        """Return the day that looks cheapest though it is forbidden, its saving and the rule."""
        visits, row = self.visits, self.rows[1 << i]
        slots = without.chosen[self.k]
        rest = without.total() - without.own[self.k] + own_cost(visits, slots, ignored=i)
        looks = rest + visits.bare[row] + visits.lost[row] @ visits.loss
        for other in self.load.chosen[self.k]:
            looks[other[1] : visits.last_day(other) + 1] = np.inf
        looks[np.isfinite(without.beside(self.k)[row]).any(axis=1)] = np.inf
        day = int(looks.argmin())
        saving = self.load.total() - float(looks[day])
        if not saving >= CENT:
            return None, 0.0, ""
        return day, saving, obstacle(without, self.k, i, day)


def _difference(other: dict[str, float], now: dict[str, float]) -> tuple[tuple[str, float], ...]:
    """Return the terms that differ, largest first."""
    apart = [(name, other[name] - now[name]) for name in now]
    return tuple(sorted((p for p in apart if abs(p[1]) >= CENT), key=lambda pair: -abs(pair[1])))
