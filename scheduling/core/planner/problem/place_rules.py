"""Which day and which mechanic a task may have, before anything else is planned.

The answer is by rule and not by room: hours, bays and stock are looked at in `draft`.
"""

from collections.abc import Sequence

import numpy as np

from .array_types import Flags
from .conflicts import Conflict, ConflictKind
from .entities import Mechanic, PlannedMachine, Spot, Task
from .whole_problem import Problem


def fixed_spot(problem: Problem, task: Task) -> Spot | None:
    """Return where the task must stand: its place in the frozen days, or its pin."""
    return task.previous if problem.held(task) else task.pin


def day_rule(problem: Problem, machine: PlannedMachine, task: Task, day: int) -> Conflict | None:
    """Return the first rule that keeps the task off `day`, or None."""
    fixed, booking = fixed_spot(problem, task), machine.out_on(day)
    # A decision comes first: whoever pinned it wants to hear of the pin, not of the calendar.
    if fixed is not None and day != fixed.day:
        held = problem.held(task)
        kind = ConflictKind.FROZEN_ELSEWHERE if held else ConflictKind.PINNED_ELSEWHERE
        return Conflict(kind, day=fixed.day)
    if fixed is None and day < problem.frozen_days:
        return Conflict(ConflictKind.DAYS_FROZEN, day=problem.frozen_days)
    if fixed is None and task.not_before is not None and day < task.not_before:
        return Conflict(ConflictKind.PUT_OFF, day=task.not_before)
    if task.limit_day is not None and day > task.limit_day:
        return Conflict(ConflictKind.PAST_LIMIT, day=task.limit_day)
    # On a closed day nobody works anyway, and that is the plainer answer.
    if booking is not None and not closed_rule(problem, machine, day):
        first, last = booking.first_day, booking.last_day
        return Conflict(ConflictKind.BOOKED, day=first, last_day=last, what=booking.id)
    return closed_rule(problem, machine, day)


def closed_rule(problem: Problem, machine: PlannedMachine, day: int) -> Conflict | None:
    """Return why nobody works where the machine stands on `day`, or None."""
    if day in problem.yards[machine.yard].closed_days:
        return Conflict(ConflictKind.YARD_CLOSED, what=machine.yard)
    if machine.site is not None and day in site_closed_days(problem, machine):
        return Conflict(ConflictKind.SITE_CLOSED, what=machine.site)
    return None


def site_closed_days(problem: Problem, machine: PlannedMachine) -> frozenset[int]:
    """Return the days on which the machine's ranch takes no visit; none for a machine at home."""
    return frozenset() if machine.site is None else problem.sites[machine.site].closed_days


def allowed_days(problem: Problem, machine: PlannedMachine, task: Task) -> Flags:
    """Return for each day of the horizon whether `day_rule` finds nothing against it, (H,)."""
    days = problem.horizon_days
    fixed = fixed_spot(problem, task)
    allowed = np.zeros(days, dtype=bool)
    if fixed is not None:
        allowed[fixed.day : fixed.day + 1] = True
    else:
        allowed[max(problem.frozen_days, task.not_before or 0) :] = True
    if task.limit_day is not None:
        allowed[max(0, task.limit_day + 1) :] = False
    closed = problem.yards[machine.yard].closed_days | site_closed_days(problem, machine)
    allowed[[d for d in closed if 0 <= d < days]] = False
    for booking in machine.bookings:
        allowed[max(0, booking.first_day) : max(0, booking.last_day + 1)] = False
    return allowed


def mechanic_rule(problem: Problem, task: Task, mechanic: Mechanic) -> Conflict | None:
    """Return the first rule that keeps the task from `mechanic`, or None."""
    fixed = fixed_spot(problem, task)
    if mechanic.yard != problem.machines[task.machine].yard:
        return Conflict(ConflictKind.OTHER_YARD, mechanic=mechanic.id, what=mechanic.yard)
    if task.skill not in mechanic.skills:
        return Conflict(ConflictKind.SKILL_NOT_HELD, mechanic=mechanic.id, skill=task.skill)
    if fixed is not None and fixed.mechanic not in (None, mechanic.id):
        return Conflict(ConflictKind.KEPT_FOR_OTHER, mechanic=fixed.mechanic or "")
    return None


def allowed_mechanics(problem: Problem, mechanics: Sequence[Mechanic], task: Task) -> Flags:
    """Return for each mechanic whether `mechanic_rule` finds nothing against them, shape (W,)."""
    return np.array([mechanic_rule(problem, task, m) is None for m in mechanics], dtype=bool)
