"""Say why a task stands on its day, by pricing the other days instead of telling a story.

Each task is moved alone, everything else staying: the cheapest other place shows what this one
saves, term by term, and a day that looks cheaper shows the first rule or the room that forbids
it.  What comes out are values; they become sentences outside the core.
"""

from collections.abc import Collection
from dataclasses import replace
from typing import Any

import numpy as np

from scheduling.core.planner.answer import CENT, FixedBy, PlaceReason
from scheduling.core.planner.bound import ShadowPrices
from scheduling.core.planner.control import Watch
from scheduling.core.planner.plan import Draft, own_cost, price_but_timing
from scheduling.core.planner.problem import Flags, Floats, Problem, fixed_spot
from scheduling.core.planner.visits import Slot, Visits

from .day_conflict import day_conflict, short_of_hours
from .relaxation import relaxations_of
from .task_placer import TaskPlacer, members
from .timing import Timing, timing_of

VISIT_TERMS = ("visit", "setup", "downtime", "trip", "overtime")
"""Terms that a visit causes as such."""

Values = dict[str, Any]
"""Fields of a reason."""


def explain(
    draft: Draft, watch: Watch, shadow: ShadowPrices | None = None, first: Collection[str] = ()
) -> dict[str, PlaceReason]:
    """Return a reason for each task as far as the seconds of `watch` allow.

    Machines with a task in `first` come first, and planned tasks before those that wait.
    """
    reasons: dict[str, PlaceReason] = {}
    timing = timing_of(draft.case.problem)
    wanted = [k for k, v in enumerate(draft.machines) if any(t.id in first for t in v.tasks)]
    rest = [k for k in range(len(draft.machines)) if k not in wanted]
    # Planned tasks before those that wait: what would have to give for these takes longest to
    # price, and the time may run out.
    for machines, wait in ((wanted, False), (wanted, True), (rest, False), (rest, True)):
        for k in machines:
            if watch.over():
                return reasons
            reasons |= _reasons(Explainer(draft, k, timing, shadow), wait)
    return reasons


def _reasons(explainer: "Explainer", wait: bool) -> dict[str, PlaceReason]:
    found = explainer.waiting() if wait else explainer.planned()
    return {explainer.visits.tasks[i].id: reason for i, reason in found.items()}


class Explainer:
    """Prices other places for the tasks of one machine of a plan."""

    def __init__(
        self, draft: Draft, k: int, timing: Timing, shadow: ShadowPrices | None = None
    ) -> None:
        self.draft, self.k, self.timing, self.shadow = draft, k, timing, shadow
        self.visits: Visits = draft.machines[k]
        self.placer = TaskPlacer(self.visits, k)
        problem = draft.case.problem
        tasks = {t.id: problem.tasks[t.id] for t in self.visits.tasks}
        machine = self.visits.machine
        # Terms are priced for this machine alone, as the yard's other machines are the same in
        # every trial; what they share (overtime, trips) comes from the plan itself.
        self.alone: Problem = replace(problem, machines={machine.id: machine}, tasks=tasks)
        self.known: dict[tuple[Slot, ...], dict[str, float]] = {}
        self.total = draft.total()

    def planned(self) -> dict[int, PlaceReason]:
        """Return a reason for each planned task of the machine: why that day and that mechanic."""
        return {
            i: self.reason(slot, i)
            for slot in self.draft.chosen[self.k]
            for i in members(self.visits, slot)
        }

    def waiting(self) -> dict[int, PlaceReason]:
        """Return a reason for each task of the machine that waits past the last day."""
        return {int(i): self._waits(int(i)) for i in np.flatnonzero(self.draft.waiting(self.k))}

    def reason(self, slot: Slot, i: int) -> PlaceReason:
        """Return why task `i` stands in the visit `slot` (row, first day, crew)."""
        task = self.visits.tasks[i]
        together = tuple(self.visits.tasks[j].id for j in members(self.visits, slot) if j != i)
        timing = self._timing(i, self.visits.last_day(slot))
        fixed = fixed_spot(self.draft.case.problem, task)
        if fixed is not None:
            held = self.draft.case.problem.held(task)
            fixed_by = FixedBy.FROZEN if held else FixedBy.PIN
            return PlaceReason(fixed=fixed_by, together=together, **timing)
        without = self.placer.without(self.draft, slot, i)
        if without is None:
            return PlaceReason(together=together, **timing)
        return self._compared(without, slot, i, PlaceReason(together=together, **timing))

    def _compared(self, without: Draft, slot: Slot, i: int, reason: PlaceReason) -> PlaceReason:
        """Return the reason with the other places for task `i`, which is taken out of `without`."""
        free = self.placer.free(without, i)
        barred = self._barred(without, i, np.asarray(np.isfinite(free).any(axis=1)))
        # Its own place, which is free again without it, is no other place.
        if not reason.together:
            free[slot[1], self.visits.lead == self.visits.lead[slot[2]]] = np.inf
        alone = self.placer.on_its_own(without, free, i)
        joined = self.placer.joined(without, i, self.draft.chosen[self.k])
        options = [draft for draft in (alone, *joined) if draft is not None]
        best = min(options, key=Draft.total) if options else None
        apart = self._difference(alone) if alone and reason.together else ()
        return replace(
            reason,
            other=best.places_of(self.k)[self.visits.tasks[i].id] if best else None,
            more=self._difference(best) if best else (),
            visit_saved=sum(money for term, money in apart if term in VISIT_TERMS),
            **self._sooner(without, free, i, slot[1]),
            **barred,
        )

    def _waits(self, i: int) -> PlaceReason:
        """Return why task `i` waits: the cheapest free place, and what would have to give."""
        free = self.placer.free(self.draft, i)
        options = [
            self.placer.on_its_own(self.draft, free, i),
            *self.placer.joined(self.draft, i, ()),
        ]
        found = [draft for draft in options if draft is not None]
        best = min(found, key=Draft.total) if found else None
        more = best.total() - self.total if best else np.inf
        return PlaceReason(
            waits=True,
            other=best.places_of(self.k)[self.visits.tasks[i].id] if best else None,
            more=self._difference(best) if best else (),
            gives=relaxations_of(self.draft, self.k, i, float(more)),
        )

    def _timing(self, i: int, day: int) -> Values:
        """Return how early and late the task is expected to be on the day, and what early costs."""
        task = self.visits.tasks[i]
        row = self.timing.row[task.id]
        early, late = float(self.timing.early[row, day]), float(self.timing.late[row, day])
        money = task.waste_cost_per_day * early
        return {"early_days": early, "early_money": money, "late_days": late}

    def _terms(self, draft: Draft) -> dict[str, float]:
        """Return the money of this machine by term, with all overtime and trips of the yard."""
        slots = tuple(draft.chosen[self.k])
        if slots not in self.known:
            self.known[slots] = self._own_terms(draft)
        return self.known[slots] | draft.shared_money()

    def _own_terms(self, draft: Draft) -> dict[str, float]:
        cost = price_but_timing(self.alone, draft.places_of(self.k))
        last = len(self.timing.late[0]) - 1
        days = [last] * len(self.visits.tasks)
        for slot in draft.chosen[self.k]:
            for i in members(self.visits, slot):
                days[i] = self.visits.last_day(slot)
        for task, day in zip(self.visits.tasks, days, strict=True):
            row = self.timing.row[task.id]
            cost["overdue"] += task.overdue_cost_per_day * float(self.timing.late[row, day])
            cost["waste"] += task.waste_cost_per_day * float(self.timing.early[row, day])
        return cost

    def _sooner(self, without: Draft, free: Floats, i: int, day: int) -> Values:
        """Return the cheapest free place before the day, and what it would cost more."""
        earlier = np.where(np.arange(len(free))[:, None] < day, free, np.inf)
        found = self.placer.on_its_own(without, earlier, i)
        if found is None:
            return {}
        spot = found.places_of(self.k)[self.visits.tasks[i].id]
        return {"sooner": spot, "sooner_more": found.total() - self.total}

    def _barred(self, without: Draft, i: int, free_days: Flags) -> Values:
        """Return the day that looks cheapest though it is forbidden, its saving and the rule."""
        visits, row = self.visits, self.placer.rows[1 << i]
        slots = without.chosen[self.k]
        # As if no rule forbade any day: the plan without the task, and the task's bare price on
        # each day.
        rest = without.total() - without.own[self.k] + own_cost(visits, slots, ignored=i)
        looks = rest + visits.bare[row] + visits.lost[row] @ visits.loss
        for other in self.draft.chosen[self.k]:
            looks[other[1] : visits.last_day(other) + 1] = np.inf
        looks[free_days] = np.inf
        day = int(looks.argmin())
        saving = self.total - float(looks[day])
        if not saving >= CENT:
            return {}
        return {
            "barred_day": day,
            "barred_saving": saving,
            "barred_by": day_conflict(without, self.k, i, day),
            "hour_worth": self._hour_worth(without, i, day),
        }

    def _hour_worth(self, without: Draft, i: int, day: int) -> float | None:
        """Return the money for which the cheapest hour is to be had that keeps the task away."""
        short = short_of_hours(without, self.k, i, day)
        if self.shadow is None or not short:
            return None
        # The cheapest of those who could do it: one more hour of any of them would do.
        return float(self.shadow.hour[day, short].min())

    def _difference(self, other: Draft) -> tuple[tuple[str, float], ...]:
        """Return the terms in which another plan differs from this one, largest first."""
        now, then = self._terms(self.draft), self._terms(other)
        apart = [(name, then[name] - now[name]) for name in now]
        apart = [(name, money) for name, money in apart if abs(money) >= CENT]
        return tuple(sorted(apart, key=lambda pair: -abs(pair[1])))
