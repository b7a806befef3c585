"""What one machine's visits add to a constraint model, before the model ties machines together.

For machine k: every task is in exactly one visit or waits; at most one visit a day; tasks keep
their order; a blocking task that is done too late or waits loses its booking.
"""

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from ortools.sat.python import cp_model

from scheduling.core.planner.problem import Flags, Precedence
from scheduling.core.planner.visits import Slot, Visits

Variable = cp_model.IntVar
NewFlag = Callable[[bool], Variable]
"""Makes a 0/1 variable with the given hint."""


@dataclass(slots=True)
class MachineModel:
    """The variables of one machine: its visits by slot, and all that has a price (money)."""

    visits: Visits
    chosen: list[Slot]
    slots: dict[Slot, Variable] = field(default_factory=dict)
    money: list[tuple[Variable, float]] = field(default_factory=list)


def add_machine(model: cp_model.CpModel, flag: NewFlag, machine: MachineModel, keep: Flags) -> None:
    """Add the variables and rules of one machine for the visits in `keep`, shape (R, H, C)."""
    allowed = {(int(r), int(d), int(w)) for r, d, w in np.argwhere(keep)}
    by_day: dict[int, list[Variable]] = defaultdict(list)
    # What stands is always offered, so the plan we have is a solution and none worse can come back.
    # Sorted, so that the same model is built in every run.
    for slot in sorted(allowed | set(machine.chosen)):
        used = flag(slot in machine.chosen)
        machine.slots[slot] = used
        machine.money.append((used, float(machine.visits.cost[slot])))
        # A long visit takes its machine on every day from first to last, also those on which nobody
        # works at it.
        for day in range(slot[1], machine.visits.last_day(slot) + 1):
            by_day[day].append(used)
    for used_that_day in by_day.values():
        if len(used_that_day) > 1:
            model.add_at_most_one(used_that_day)
    if machine.visits.precedence is not None:
        _add_precedence(model, machine, machine.visits.precedence)
    waits = _add_waiting(model, flag, machine)
    _add_bookings(model, flag, machine, waits)


def _add_precedence(model: cp_model.CpModel, machine: MachineModel, precedence: Precedence) -> None:
    """Let a task begin by a day only if each that must come before it has ended by then.

    Visits that hold both keep the order within.
    """
    for i, before in enumerate(precedence.before):
        for j in range(len(precedence.before)):
            if before >> j & 1:
                _add_sequence(model, machine, j, i)


def _add_sequence(model: cp_model.CpModel, machine: MachineModel, first: int, then: int) -> None:
    visits = machine.visits
    ends: list[tuple[int, Variable]] = []
    begins: list[tuple[int, Variable]] = []
    for slot, used in machine.slots.items():
        holds = visits.member[slot[0]]
        if holds[first] and not holds[then]:
            ends.append((visits.last_day(slot), used))
        if holds[then] and not holds[first]:
            begins.append((slot[1], used))
    for day in sorted({day for day, _ in begins}):
        # The same inequality as `precedence_cuts`, here with the true last days. Only days on which
        # the later task may begin can break it.
        begun = [used for start, used in begins if start <= day]
        model.add(sum(begun) <= sum(used for end, used in ends if end < day))


def _add_waiting(
    model: cp_model.CpModel, flag: NewFlag, machine: MachineModel
) -> dict[int, Variable]:
    """Let each task be done once or wait; one that may not wait and is planned stays planned."""
    visits, waits = machine.visits, {}
    for i in range(len(visits.tasks)):
        done = any(visits.member[row, i] for row, _, _ in machine.chosen)
        # Without a variable for waiting the task must be done: a limit that is kept stays kept.
        if visits.may_wait[i] or not done:
            waits[i] = flag(not done)
            price = visits.wait_cost[i] + (0.0 if visits.may_wait[i] else visits.resort)
            machine.money.append((waits[i], float(price)))
        uses = [used for slot, used in machine.slots.items() if visits.member[slot[0], i]]
        model.add_exactly_one([*uses, *([waits[i]] if i in waits else [])])
    return waits


def _add_bookings(
    model: cp_model.CpModel, flag: NewFlag, machine: MachineModel, waits: dict[int, Variable]
) -> None:
    visits = machine.visits
    for j, booking in enumerate(visits.bookings):
        lost_now = any(visits.lost[row, day, j] for row, day, _ in machine.chosen)
        planned = {i for row, _, _ in machine.chosen for i in np.flatnonzero(visits.member[row])}
        blocking = np.flatnonzero(visits.wait_lost[:, j]).tolist()
        lost = flag(lost_now or any(i not in planned for i in blocking))
        machine.money.append((lost, float(visits.loss[j])))
        for i in blocking:
            causes = [waits[i]] if i in waits else []
            causes += [
                used
                for (row, day, _), used in machine.slots.items()
                if visits.member[row, i] and day >= booking.first_day
            ]
            # The booking is lost as soon as one of the blocking tasks is late or waits; minimising
            # keeps it from being lost for nothing.
            if causes:
                model.add(sum(causes) <= lost)
