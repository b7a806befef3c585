"""Every visit one machine could make, with all that happens inside it priced beforehand.

A visit is a machine and a day, done by one mechanic.  For each set of the machine's tasks (a
row), each day and each mechanic who holds the skills, the price of the visit is a plain number:
shared set-ups, half or whole day of downtime, overdue and waste of each task, change against the
previous plan.  What couples machines (hours, overtime, trips, bays, stock) is left to `draft`.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from scheduling.core.planner.problem import (
    BookedSpan,
    Case,
    Flags,
    Floats,
    Ints,
    PlannedMachine,
    Precedence,
    Task,
    precedence_of,
    required,
)

from .inside import inside_of
from .slots import Slot
from .subsets import ALL_SUBSETS, every_subset, likely_subsets
from .uses import Uses
from .who_comes import priced_by_crew


@dataclass(frozen=True, slots=True)
class Visits:
    """One machine's possible visits: R rows (sets of its n tasks), H days, W mechanics.

    `member` (R, n) tells the tasks of a row and `masks` (R,) the same as bits; `time` (R,) is in
    ticks and `time_low` rounds down for the bound; `halves` (R,) are half days of bay and
    downtime; `bare` (R, H) is money by day as if no rule forbade any and nobody minded a change;
    `cost` (R, H, C) is money, infinite where a rule forbids the visit; `lost`
    (R, H, J) marks the bookings that cannot go out then, worth `loss` (J,).  `parts` are indices
    into the yard's stock and `need` (R, len(parts)) quantities.  `wait_cost` (n,) prices putting
    a task off past the horizon, which loses `wait_lost` (n, J) and, unless `may_wait`, costs
    `resort` on top in the search.
    """

    machine: PlannedMachine
    tasks: tuple[Task, ...]
    site: int
    masks: Ints
    member: Flags
    time: Ints
    time_low: Ints
    halves: Ints
    bare: Floats
    cost: Floats
    bookings: tuple[BookedSpan, ...]
    lost: Flags
    loss: Floats
    parts: Ints
    need: Floats
    wait_cost: Floats
    wait_lost: Flags
    may_wait: Flags
    resort: float
    lead: Ints
    second: Ints
    precedence: Precedence | None
    last: Ints | None
    uses: Uses | None

    @property
    def complete(self) -> bool:
        """Tell whether every subset of the tasks is a row."""
        return len(self.masks) == (1 << len(self.tasks)) - 1

    @property
    def by_mechanic(self) -> Floats:
        """Return (R, H, W): the least money of each visit with a mechanic, whoever is second."""
        if self.uses is None:
            return self.cost
        # The bound knows mechanics and no crews: its visit costs what the cheapest crew with that
        # mechanic does.
        best = np.full((*self.cost.shape[:2], int(self.lead.max(initial=-1)) + 1), np.inf)
        for crew, w in enumerate(self.lead.tolist()):
            best[:, :, w] = np.minimum(best[:, :, w], self.cost[:, :, crew])
        return best

    def work(self, slot: Slot) -> list[tuple[int, int, int]]:
        """Return (day, mechanic, ticks) of all that work at a visit: row, day, crew."""
        if self.uses is not None:
            return self.uses.of(slot)
        return [(slot[1], slot[2], int(self.time[slot[0]]))]

    def bays_taken(self, slot: Slot) -> list[tuple[int, int]]:
        """Return (day, half bays) that a visit takes at the yard."""
        if self.site >= 0:
            return []
        return (
            self.uses.bays_of(slot)
            if self.uses is not None
            else [(slot[1], int(self.halves[slot[0]]))]
        )

    def last_day(self, slot: Slot) -> int:
        """Return the last day of a visit."""
        return slot[1] if self.last is None else int(self.last[slot])


def visits_of(case: Case, known: Iterable[Visits] = ()) -> list[Visits]:
    """Return the visits of each machine of the yard that has a task, in the machines' order.

    Each has arrays by row, first day and crew, shape (R, H, C).  `known` are visits of the same
    problem before some of its tasks were released: those of machines without such a task serve on.
    """
    by_machine: dict[str, list[Task]] = {}
    for task in case.problem.tasks.values():
        by_machine.setdefault(task.machine, []).append(task)
    before = {visits.machine.id: visits for visits in known}
    return [
        before[machine.id]
        if machine.id in before and _same(before[machine.id].tasks, by_machine[machine.id])
        else machine_visits(case, machine, by_machine[machine.id])
        for machine in case.problem.machines.values()
        if machine.id in by_machine
    ]


def _same(before: Sequence[Task], tasks: Sequence[Task]) -> bool:
    """Tell whether these are the very same tasks: a released one is another."""
    return {id(task) for task in before} == {id(task) for task in tasks}


def machine_visits(
    case: Case, machine: PlannedMachine, tasks: list[Task], fixed_share: float = 1.0
) -> Visits:
    """Return the visits of `machine` for `tasks`.

    With `fixed_share` below 1 only that share of what a visit costs as such (its own hours and
    money, set-ups, downtime, lost bookings) is charged, and no bay: a relaxation, used where the
    tasks of a machine are split among several and every visit may then be charged up to 1/share
    times (`bound`).  Second persons are left out of it, and work over several days takes no hours
    and may end when it likes.
    """
    # In due order, as neighbours in it are offered as sets (`subsets`) and split into parts
    # (`bound`).
    tasks = sorted(tasks, key=lambda t: (t.due.p50, t.id))
    weights, days, precedence = case.problem.weights, case.days, precedence_of(tasks)
    masks = np.array(_masks(tasks, precedence), dtype=np.int64)
    inside = inside_of(case, machine, tasks, masks)
    bookings = tuple(b for b in machine.bookings if any(t.blocks(b) for t in tasks))
    lost = _lost(tasks, bookings, days)
    parts, need = _need(case, tasks)
    alone = np.array([np.flatnonzero(masks == 1 << i)[0] for i in range(len(tasks))])
    # The day of a visit past the horizon is not known: it takes its machine on an average day.
    mean_downtime = inside.halves[alone] / 2 * machine.day_rate * float(np.mean(machine.demand))
    own_visit = inside.fixed[alone] + mean_downtime
    # Priced as done on the deferred day, and with its share of a visit, or work would flow past the
    # end of the plan where everything is free.
    wait = inside.timing[:, days] + weights.deferred_visit_share * own_visit
    return Visits(
        machine=machine,
        tasks=tuple(tasks),
        site=inside.site,
        masks=masks,
        member=inside.member,
        bookings=bookings,
        lost=np.tensordot(inside.member.astype(float), lost[:, :days].astype(float), 1) > 0,
        loss=fixed_share * np.array([b.value + weights.goodwill_cost for b in bookings]),
        parts=parts,
        need=inside.member @ need,
        wait_cost=wait + np.array([weights.change_cost if t.previous else 0.0 for t in tasks]),
        wait_lost=lost[:, days],
        may_wait=_may_wait(case, tasks),
        resort=case.resort,
        precedence=precedence,
        **priced_by_crew(case, inside, fixed_share),
    )


def _may_wait(case: Case, tasks: list[Task]) -> Flags:
    """Return which tasks may be put off: none that another, which may not, comes after."""
    bound = [t.id for t in tasks if not case.problem.may_wait(t)]
    # A task that another, which may not wait, comes after may not wait either.
    needed = required({t.id: t for t in tasks}, bound)
    return np.array([t.id not in needed for t in tasks], dtype=bool)


def _masks(tasks: list[Task], precedence: Precedence | None) -> list[int]:
    if len(tasks) <= ALL_SUBSETS:
        return every_subset(len(tasks))
    groups: dict[object, int] = {}
    for i, task in enumerate(tasks):
        # Whatever must be able to stand together: one skill, one pinned day, one place in the plan
        # before, all with limits.
        keys = [task.skill, task.pin and ("day", task.pin.day), task.previous]
        keys.append("limit" if task.limit_day is not None else None)
        for key in keys:
            if key is not None:
                groups[key] = groups.get(key, 0) | 1 << i
    everything = (1 << len(tasks)) - 1
    offered = likely_subsets(len(tasks), [*groups.values(), everything])
    return [mask for mask in offered if precedence is None or precedence.allows(mask)]


def _lost(tasks: list[Task], bookings: tuple[BookedSpan, ...], days: int) -> Flags:
    """Return whether task i done on a day (or, last, not at all) loses booking j: (n, H+1, J)."""
    lost = np.zeros((len(tasks), days + 1, len(bookings)), dtype=bool)
    for j, booking in enumerate(bookings):
        for i, task in enumerate(tasks):
            if task.blocks(booking):
                # From the booking's first day on, and (last entry) where the task waits.
                lost[i, min(booking.first_day, days) :, j] = True
    return lost


def _need(case: Case, tasks: list[Task]) -> tuple[Ints, Floats]:
    wanted = sorted({case.parts.index(p) for t in tasks for p, _ in t.parts})
    need = np.zeros((len(tasks), len(wanted)))
    for i, task in enumerate(tasks):
        for part, quantity in task.parts:
            need[i, wanted.index(case.parts.index(part))] += quantity
    return np.array(wanted, dtype=np.int64), need
