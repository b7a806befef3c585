"""What happens inside a machine's visits, whichever day and whoever comes.

Hours and set-ups of each set of tasks, overdue and waste money of each task by the day on which
it is done, change against the previous plan, and what the rules forbid.
"""

from dataclasses import dataclass

import numpy as np

from scheduling.core.planner.problem import (
    Case,
    Flags,
    Floats,
    Ints,
    PlannedMachine,
    Task,
    allowed_days,
    allowed_mechanics,
    expected_early,
    expected_late,
    knots,
    precedence_of,
    ticks,
)


@dataclass(frozen=True, slots=True)
class Inside:
    """What is known of a machine's rows before days and crews are looked at.

    `member` (R, n); `hours`, `halves` and `fixed` money (R,); `timing` (n, H+1) is overdue and
    waste money by the day on which a task is done; `change` (n, H, W) money; `forbidden`
    (R, H, W) by the rules for the first day and the mechanic; `site` is -1 at the yard.
    """

    machine: PlannedMachine
    tasks: tuple[Task, ...]
    site: int
    member: Flags
    hours: Floats
    halves: Ints
    fixed: Floats
    timing: Floats
    change: Floats
    forbidden: Flags


def inside_of(case: Case, machine: PlannedMachine, tasks: list[Task], masks: Ints) -> Inside:
    """Return what the rows hold, whatever their day and mechanic."""
    member = (masks[:, None] >> np.arange(len(tasks))) & 1 == 1
    hours, setup_cost = _hours_and_setups(case, machine, tasks, member)
    half_day = case.problem.weights.half_day_hours
    return Inside(
        machine=machine,
        tasks=tuple(tasks),
        site=-1 if machine.site is None else [s.id for s in case.sites].index(machine.site),
        member=member,
        hours=hours,
        # Half a day of bay and downtime for short visits, by hours with the set-ups that they
        # share.
        halves=np.where(hours <= half_day + ticks.TOLERANCE, 1, 2),
        fixed=machine.visit_cost + setup_cost,
        timing=_timing_cost(case, tasks),
        change=_change_cost(case, tasks),
        forbidden=_forbidden(case, machine, tasks, member) | _disorder(tasks, masks)[:, None, None],
    )


def _hours_and_setups(
    case: Case, machine: PlannedMachine, tasks: list[Task], member: Flags
) -> tuple[Floats, Floats]:
    """Return hours and set-up money of each row; every set-up needed counts once."""
    hours = machine.visit_hours + member @ np.array([t.hours for t in tasks])
    money = np.zeros(len(member))
    for setup in case.problem.setups.values():
        needs = np.array([setup.id in t.setups for t in tasks])
        if needs.any():
            used = (member & needs).any(axis=1)
            hours += setup.hours * used
            money += setup.cost * used
    return hours, money


def _timing_cost(case: Case, tasks: list[Task]) -> Floats:
    """Return overdue and waste money of each task on each day, the deferred day last: (n, H+1)."""
    last = case.days + case.problem.weights.deferred_days
    when = np.append(np.arange(case.days, dtype=float), last)
    edges = knots([t.due for t in tasks])
    overdue = np.array([[t.overdue_cost_per_day] for t in tasks]) * expected_late(edges, when)
    waste = np.array([[t.waste_cost_per_day] for t in tasks]) * expected_early(edges, when)
    return np.asarray(overdue + waste)


def _change_cost(case: Case, tasks: list[Task]) -> Floats:
    weights = case.problem.weights
    money = np.zeros((len(tasks), case.days, len(case.mechanics)))
    for i, task in enumerate(tasks):
        if task.previous is not None:
            money[i] = weights.change_cost
            # A place past the horizon is none that this plan could keep: every day is a change.
            if task.previous.day < case.days:
                same = np.array([m.id == task.previous.mechanic for m in case.mechanics])
                kept = np.where(same, 0.0, weights.change_cost * weights.mechanic_change_share)
                money[i, task.previous.day] = kept
    return money


def _forbidden(case: Case, machine: PlannedMachine, tasks: list[Task], member: Flags) -> Flags:
    shut = np.array([~allowed_days(case.problem, machine, t) for t in tasks])
    unable = np.array([~allowed_mechanics(case.problem, case.mechanics, t) for t in tasks])
    rows = member.astype(float)
    # A visit is forbidden as soon as one of its tasks is; the products count those.
    return ((rows @ shut > 0)[:, :, None] | (rows @ unable > 0)[:, None, :]) | (case.longest == 0)[
        None
    ]


def _disorder(tasks: list[Task], masks: Ints) -> Flags:
    """Return the rows whose tasks may not share a visit, (R,)."""
    order = precedence_of(tasks)
    if order is None:
        return np.zeros(len(masks), dtype=bool)
    return np.array([not order.allows(int(mask)) for mask in masks])
