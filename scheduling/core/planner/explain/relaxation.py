"""What would have to give for a task that waits, or whose limit cannot be kept, and its price.

Each way out is tried by taking one thing away that stands against the task (hours, bays, parts,
a booking's edge, another machine's visit) and pricing the whole plan anew with the task in its
best place then, all else staying.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import isinf

import numpy as np

from scheduling.core.planner.answer import CENT, Relaxation, RelaxationKind
from scheduling.core.planner.plan import Draft, replan
from scheduling.core.planner.problem import BookedSpan, Case, PlannedMachine, Spot
from scheduling.core.planner.visits import Visits, machine_visits

from .day_conflict import missing_part
from .task_placer import TaskPlacer

# A judgement: beyond it nobody would be asked.
MOST_OVERTIME_HOURS = 4.0
"""Hours beyond a mechanic's longest day that are looked at."""

# A judgement: for less than a twentieth nobody would be asked to give anything.
WORTH_RELAXING = 0.05
"""Share of a task's price without anything giving by which a way out must be cheaper."""

SWAPS = 8
"""Visits of other machines that are tried out of the way."""


def relaxations_of(
    draft: Draft, k: int, i: int, more: float, now: float | None = None
) -> tuple[Relaxation, ...]:
    """Return what could give for task `i` of machine `k`, which waits in `draft`, cheapest first.

    Hours, a bay, a part some days sooner, a booking a day shorter, another's visit.  Only ways are
    named that cost clearly less than `more` money on top of the plan `now` (its own total unless
    given), which is what the task costs without any of them.
    """
    search = RelaxationSearch(draft, k, i, draft.total() if now is None else now)
    # Where nothing is free at all, any way out is worth naming.
    least = CENT if isinf(more) else max(CENT, WORTH_RELAXING * abs(more))
    ways = [relaxation for relaxation in search.all() if relaxation.price < more - least]
    return tuple(sorted(ways, key=lambda relaxation: relaxation.price))


@dataclass(frozen=True, slots=True)
class RelaxationSearch:
    """Task `i` of machine `k` and the plan it waits in; `now` is the money to compare with."""

    draft: Draft
    k: int
    i: int
    now: float

    def all(self) -> Iterator[Relaxation]:
        """Yield every way out, however dear."""
        if self.draft.case.mechanics:
            yield from self.overtime()
            yield from self.bay()
            yield from self.part()
            yield from self.bookings()
            yield from self.swap()

    @property
    def visits(self) -> Visits:
        """Return the machine's visits."""
        return self.draft.machines[self.k]

    def overtime(self) -> Iterator[Relaxation]:
        """Yield the best place with hours beyond the mechanics' limits."""
        case = self.draft.case
        longer = case.longest + int(MOST_OVERTIME_HOURS * case.scale)
        relaxed = replace(case, longest=np.where(case.longest > 0, longer, 0))
        found = self._in_case(relaxed)
        if found is not None:
            beyond = np.maximum(0, found[1].used - case.longest)
            where = np.argwhere(beyond)
            # Somebody's hours on one day can be asked for; a little of several people's cannot.
            if len(where) == 1:
                day, w = where[0].tolist()
                relaxation = self._relaxation(
                    RelaxationKind.OVERTIME, *found, beyond.sum() / case.scale
                )
                yield replace(relaxation, what=case.mechanics[w].id, days=(day, day))

    def bay(self) -> Iterator[Relaxation]:
        """Yield the best place with a bay more, and the days on which it is needed."""
        case = self.draft.case
        # Two halves: one whole bay more on every day, of which only the days that use it are named.
        found = self._in_case(replace(case, bays=case.bays + 2))
        if found is not None:
            beyond = np.maximum(0, found[1].bays - case.bays)
            days = np.flatnonzero(beyond).tolist()
            if days:
                relaxation = self._relaxation(RelaxationKind.BAY, *found, beyond.max() / 2)
                yield replace(relaxation, days=(days[0], days[-1]))

    def part(self) -> Iterator[Relaxation]:
        """Yield the best place with the task's parts on the shelf."""
        case, visits = self.draft.case, self.visits
        if not len(visits.parts):
            return
        stock = case.stock.copy()
        # As much more as any visit of the machine can need, so that nothing short is a part then.
        stock[visits.parts] += visits.need.max(axis=0)[:, None]
        found = self._in_case(replace(case, stock=stock))
        if found is None or missing_part(self.draft, self.k, self.i, found[0].day) is None:
            return
        part = self._short_part(found[0].day)
        arrivals = case.problem.parts[part].arrivals
        later = [day for day, _ in arrivals if day > found[0].day]
        sooner = min(later) - found[0].day if later else 0
        yield self._relaxation(RelaxationKind.PART, *found, sooner, part)

    def _short_part(self, day: int) -> str:
        visits, case = self.visits, self.draft.case
        row = TaskPlacer(visits, self.k).rows[1 << self.i]
        left = self.draft.slack(visits.parts)[:, day] - visits.need[row]
        return case.parts[int(visits.parts[int(left.argmin())])]

    def bookings(self) -> Iterator[Relaxation]:
        """Yield the best place with a booking a day shorter at either end."""
        machine = self.visits.machine
        for booking in machine.bookings:
            if 0 < booking.first_day < self.draft.case.days:
                shorter = replace(booking, first_day=booking.first_day + 1)
                yield from self._with_booking(booking, shorter, booking.first_day, 1)
            if 0 <= booking.last_day < self.draft.case.days:
                shorter = replace(booking, last_day=booking.last_day - 1)
                yield from self._with_booking(booking, shorter, booking.last_day, -1)

    def _with_booking(
        self, booking: BookedSpan, shorter: BookedSpan, day: int, by: int
    ) -> Iterator[Relaxation]:
        kept = self.visits.machine.bookings
        machine = replace(
            self.visits.machine, bookings=tuple(shorter if b is booking else b for b in kept)
        )
        found = self._with_machine(machine)
        # Another day would not need the booking to move, and was looked at already.
        if found is not None and found[0].day == day:
            days = booking.first_day, booking.last_day
            yield replace(
                self._relaxation(RelaxationKind.BOOKING, *found, by, booking.id), days=days
            )

    def swap(self) -> Iterator[Relaxation]:
        """Yield the best exchange with a visit on a day where the task would like to be."""
        best: Relaxation | None = None
        for day, w, j in self._rivals():
            trial = self.draft.copy()
            # The other machine leaves, the task takes its place, and the other one finds the best
            # that is left: the price is that of both together.
            trial.clear(j)
            found = self._at(trial, day, w)
            if found is None:
                continue
            replan(found, j)
            gone = self.draft.places_of(j)
            names = [t for t, s in gone.items() if found.places_of(j).get(t) != s]
            spot = found.places_of(self.k)[self.visits.tasks[self.i].id]
            swapped = self._relaxation(RelaxationKind.SWAP, spot, found, 0)
            relaxation = replace(swapped, tasks=tuple(names))
            if names and (best is None or relaxation.price < best.price):
                best = relaxation
        if best is not None:
            yield best

    def _rivals(self) -> Iterator[tuple[int, int, int]]:
        """Yield (day, mechanic, machine) of visits in the way, at the cheapest places first."""
        visits = self.visits
        row = TaskPlacer(visits, self.k).rows[1 << self.i]
        price = visits.cost[row] + (visits.lost[row] @ visits.loss)[:, None]
        price[[day for _, day, _ in self.draft.chosen[self.k]]] = np.inf
        there: dict[tuple[int, int], list[int]] = {}
        for j, slots in enumerate(self.draft.chosen):
            for day, w, _ in (
                entry for slot in slots for entry in self.draft.machines[j].work(slot)
            ):
                if j != self.k:
                    there.setdefault((day, w), []).append(j)
        tried = 0
        for spot in np.argsort(price, axis=None).tolist():
            day, crew = divmod(spot, price.shape[1])
            # Cheapest places first, so what is cut off would hardly be the best.
            if tried >= SWAPS or not np.isfinite(price[day, crew]):
                return
            w = int(visits.lead[crew])
            for j in there.get((day, w), []):
                tried += 1
                yield day, w, j

    def _at(self, trial: Draft, day: int, w: int) -> Draft | None:
        """Return the trial with the task alone at a place, if there is room."""
        row = TaskPlacer(self.visits, self.k).rows[1 << self.i]
        slot = trial.slot_with(self.k, row, (day, w))
        if slot is None:
            return None
        trial.put(self.k, slot)
        trial.reprice(self.k)
        return trial

    def _in_case(self, relaxed: Case) -> tuple[Spot, Draft] | None:
        trial = self.draft.copy()
        trial.case = relaxed
        return self._best(trial, self.visits)

    def _with_machine(self, machine: PlannedMachine) -> tuple[Spot, Draft] | None:
        visits = machine_visits(self.draft.case, machine, list(self.visits.tasks))
        trial = self.draft.copy()
        trial.machines = [visits if j == self.k else v for j, v in enumerate(trial.machines)]
        trial.reprice(self.k)
        return self._best(trial, visits)

    def _best(self, trial: Draft, visits: Visits) -> tuple[Spot, Draft] | None:
        found = TaskPlacer(visits, self.k).cheapest(trial, self.i)
        if found is None:
            return None
        return found.places_of(self.k)[visits.tasks[self.i].id], found

    def _relaxation(
        self, kind: RelaxationKind, spot: Spot, draft: Draft, amount: float, what: str = ""
    ) -> Relaxation:
        return Relaxation(kind, spot, float(amount), what, draft.total() - self.now)
