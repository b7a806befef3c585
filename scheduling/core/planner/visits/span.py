"""How a visit over several days goes on: the days of its mechanic that it takes, and its last day.

Each day takes up to the mechanic's regular hours (less the travel to a ranch, which is paid every
day); days on which the mechanic is absent or the place is closed are passed over.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scheduling.core.planner.problem import (
    Mechanic,
    PlannedMachine,
    Problem,
    Spot,
    Task,
    closed_rule,
    ticks,
)

Hours = NDArray[np.float64]
Days = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Stay:
    """The days at work of one visit with their hours, its last day, and whether it ends."""

    work: tuple[tuple[int, float], ...]
    last: int
    ended: bool = True


def lasts_days(tasks: Sequence[Task]) -> bool:
    """Tell whether a visit of `tasks` may go on over several days."""
    return any(task.several_days for task in tasks)


def room_of(problem: Problem, machine: PlannedMachine, mechanic: Mechanic) -> Hours:
    """Return the regular hours that a mechanic has for `machine` on each day, (H,)."""
    site = problem.sites[machine.site] if machine.site is not None else None
    travel = site.travel_hours if site is not None else 0.0
    room = np.maximum(0.0, np.array(mechanic.hours) - travel)
    room[[bool(closed_rule(problem, machine, day)) for day in range(len(room))]] = 0.0
    return np.asarray(room)


def last_days(room: Hours, hours: float) -> Days:
    """Return the last day of `hours` of work begun on each day, (H,); H where it has no end.

    A day without `room` (hours a day) is no day to begin on.
    """
    done = np.cumsum(room)
    # Work begun on day d has done[d] - room[d] hours before it; it ends on the first day by which
    # that many hours and its own have gone by.
    goal = done - room + hours - ticks.TOLERANCE
    last = np.maximum(np.arange(len(room)), np.searchsorted(done, goal, side="left"))
    return np.where(room > 0, last, len(room))


def stay_of(
    problem: Problem, machine: PlannedMachine, tasks: Sequence[Task], spot: Spot, hours: float
) -> Stay:
    """Return the days at work of a visit of `hours` that begins at `spot`."""
    first = spot.day
    # Longer than the day is then overtime, or not allowed, but never a second day.
    if not lasts_days(tasks) or spot.mechanic is None:
        return Stay(((first, hours),), first)
    room = room_of(problem, machine, problem.mechanics[spot.mechanic])
    last = int(last_days(room, hours)[first])
    end = min(last, len(room) - 1)
    work, left = [], hours
    for day in range(first, end + 1):
        if room[day] > 0:
            work.append((day, min(left, float(room[day]))))
            left -= work[-1][1]
    return Stay(tuple(work), end, ended=last == end)
