"""A sooner day for some tasks of one machine, and what it costs beside the plan as it stands.

All else stays where it is: the tasks leave their visits and come together in one visit of their
own before a day.  A search for the whole plan may find it cheaper still, so the money is the most
that it costs.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from scheduling.core.planner.plan import Draft, placed_plan, price
from scheduling.core.planner.problem import (
    Conflict,
    ConflictKind,
    Floats,
    Ints,
    Problem,
    Spot,
    case_of,
    split_by_yard,
)
from scheduling.core.planner.visits import Slot, Visits, visits_of

from .day_conflict import day_conflict

MORE_OVERTIME_HOURS = 2.0
"""Hours beyond a mechanic's longest day that are looked at where nothing else will do."""

SHUT = (ConflictKind.YARD_CLOSED, ConflictKind.NOBODY_WORKS)
"""What is known of a day without being told."""


@dataclass(frozen=True, slots=True)
class SoonerPlace:
    """Where tasks could stand sooner.

    `money` is what that adds to the plan at most; it is less than none where a booking is saved.
    `overtime` are hours that it adds beyond the usual day of its mechanic, `beyond` those of them
    past what a day may have by now.
    """

    spot: Spot
    money: float
    overtime: float = 0.0
    beyond: float = 0.0


@dataclass(frozen=True, slots=True)
class Sooner:
    """Places before a day, cheapest first, and what bars the last shop day before it.

    `tasks` are those that move: those asked for, and what has to come before them.  `barred` is a
    day and what keeps them off it, where there is no place.
    """

    tasks: tuple[str, ...]
    places: tuple[SoonerPlace, ...] = ()
    barred: tuple[int, Conflict] | None = None


def sooner(
    problem: Problem, places: Mapping[str, Spot], wanted: Sequence[str], before: int
) -> Sooner:
    """Return the cheapest place in usual hours and one by overtime that is cheaper, before a day.

    Where neither is there, the cheapest with more overtime than a day may have.  `places` is the
    plan as it stands; all of `wanted` are tasks of one machine of `problem`.
    """
    tasks = _with_forerunners(problem, places, wanted, before)
    machine = problem.tasks[tasks[0]].machine
    name = problem.machines[machine].yard
    yard = split_by_yard(as_it_stands(problem, places))[name]
    case = case_of(yard)
    if not case.mechanics:
        return Sooner(tasks)
    standing = {task: spot for task, spot in places.items() if task in yard.tasks}
    draft = placed_plan(case, visits_of(case), standing)
    k = next(k for k, v in enumerate(draft.machines) if v.machine.id == machine)
    search = SoonerSearch(draft, k, frozenset(tasks), before)
    found = search.found()
    total = sum(price(yard, standing).values())
    priced = [
        replace(place, money=sum(price(yard, standing | search.at(place)).values()) - total)
        for place in found
    ]
    priced.sort(key=lambda place: place.money)
    return Sooner(tasks, tuple(priced), None if priced else search.barred())


def _with_forerunners(
    problem: Problem, places: Mapping[str, Spot], wanted: Sequence[str], before: int
) -> tuple[str, ...]:
    """Return the tasks with those that have to come first and stand too late for it."""
    found = list(wanted)
    for name in found:  # grows as it goes
        for first in sorted(problem.tasks[name].after):
            spot = places.get(first)
            if first in problem.tasks and first not in found and not (spot and spot.day < before):
                found.append(first)
    return tuple(found)


def as_it_stands(problem: Problem, places: Mapping[str, Spot]) -> Problem:
    """Return the problem without limits that the plan does not keep, so that all of it stands."""
    tasks = {
        name: replace(task, limit_day=None)
        if task.limit_day is not None and name in places and places[name].day > task.limit_day
        else task
        for name, task in problem.tasks.items()
    }
    return replace(problem, tasks=tasks)


@dataclass(frozen=True, slots=True)
class SoonerSearch:
    """Tasks of machine `k` in a plan, and the day before which they are wanted."""

    draft: Draft
    k: int
    tasks: frozenset[str]
    before: int

    def found(self) -> list[SoonerPlace]:
        """Return the places that there is room for, without their money."""
        base, row = self._without(), self._row()
        if base is None or row is None:
            return []
        price_of = base.beside(self.k)[row][: self.before]
        return list(self._within(base, row, price_of)) or list(self._beyond(base, row))

    def at(self, place: SoonerPlace) -> dict[str, Spot]:
        """Return where the tasks stand then."""
        return dict.fromkeys(self.tasks, place.spot)

    def barred(self) -> tuple[int, Conflict] | None:
        """Return the last day before, on which the shop works, and what keeps a task off it."""
        base = self._without() or self.draft
        for day in range(min(self.before, base.case.days) - 1, -1, -1):
            for i, task in enumerate(self.visits.tasks):
                if task.id in self.tasks:
                    conflict = day_conflict(base, self.k, i, day)
                    if conflict.kind not in SHUT and conflict.what not in self.tasks:
                        return day, conflict
        return None

    @property
    def visits(self) -> Visits:
        """Return the machine's visits."""
        return self.draft.machines[self.k]

    def _mask(self) -> int:
        return sum(1 << i for i, task in enumerate(self.visits.tasks) if task.id in self.tasks)

    def _row(self) -> int | None:
        where = np.flatnonzero(self.visits.masks == self._mask())
        return int(where[0]) if len(where) else None

    def _without(self) -> Draft | None:
        """Return the plan with the tasks out of their visits, or None if the rest cannot be."""
        base, mask = self.draft.copy(), self._mask()
        base.clear(self.k)
        rows = {int(m): row for row, m in enumerate(self.visits.masks)}
        for slot in self.draft.chosen[self.k]:
            rest = int(self.visits.masks[slot[0]]) & ~mask
            kept = self._kept(base, rows.get(rest), slot) if rest else None
            if rest and kept is None:
                return None
            if kept is not None:
                base.put(self.k, kept)
        base.reprice(self.k)
        return base

    def _kept(self, base: Draft, row: int | None, slot: Slot) -> Slot | None:
        """Return the visit of what is left of one, on its day and with its people."""
        if row is None:
            return None
        lead, second = int(self.visits.lead[slot[2]]), int(self.visits.second[slot[2]])
        return base.slot_with(self.k, row, (slot[1], lead), second)

    def _within(self, base: Draft, row: int, price_of: Floats) -> Iterator[SoonerPlace]:
        """Yield the cheapest place by overtime, if there is a cheaper one, and in usual hours."""
        first = True
        for place in np.argsort(price_of, axis=None).tolist():
            day, crew = divmod(place, price_of.shape[1])
            if not np.isfinite(price_of[day, crew]):
                return
            found = self._place(base, (row, day, crew))
            if first or found.overtime <= 0:
                yield found
            if found.overtime <= 0:
                return
            first = False

    def _beyond(self, base: Draft, row: int) -> Iterator[SoonerPlace]:
        """Yield the cheapest place with more overtime than a day may have."""
        case = base.case
        longer = case.longest + int(MORE_OVERTIME_HOURS * case.scale)
        relaxed = base.copy()
        relaxed.case = replace(case, longest=np.where(case.longest > 0, longer, 0))
        price_of = relaxed.beside(self.k)[row][: self.before]
        if price_of.size and np.isfinite(price_of.min()):
            day, crew = divmod(int(price_of.argmin()), price_of.shape[1])
            yield self._place(relaxed, (row, day, crew), longest=case.longest)

    def _place(self, base: Draft, slot: Slot, longest: Ints | None = None) -> SoonerPlace:
        """Return a place with the overtime that it adds; the tasks wait in `base`."""
        after, case = base.copy(), base.case
        after.put(self.k, slot)

        def over(draft: Draft, limit: Ints) -> float:
            return float(np.maximum(0, draft.used - limit).sum() / case.scale)

        more = over(after, case.regular) - over(base, case.regular)
        beyond = 0.0 if longest is None else over(after, longest) - over(base, longest)
        return SoonerPlace(after.spot_of(self.k, slot), 0.0, max(0.0, more), max(0.0, beyond))
