"""What a plan's cost is made of: for each term what was counted to come to that money."""

from dataclasses import dataclass
from typing import Any

from scheduling.core.planner.plan import (
    Places,
    blocked_bookings,
    days_early,
    days_late,
    days_taken,
    hours_worked,
    last_days_in,
    stays_in,
)
from scheduling.core.planner.problem import Problem, Task

Counts = dict[str, Any]
"""Fields of `CostCounts`."""


@dataclass(frozen=True, slots=True)
class CostCounts:
    """What was counted for the terms of a plan's cost.

    overdue and waste: tasks done after or before their due date (p50), and expected days of all
    tasks together; visit: visits, and those with several tasks; setup: set-ups, once a visit;
    downtime: days of machines; trip: trips, and the ranches they go to; overtime: hours, and
    mechanic-days with any; change: tasks off the day on which they stood, and tasks with another
    mechanic only; deferral: tasks that wait.
    """

    late_tasks: int
    late_days: float
    early_tasks: int
    early_days: float
    visits: int
    shared_visits: int
    setups: int
    days_down: float
    trips: int
    sites: int
    overtime_hours: float
    overtime_days: int
    lost_bookings: int
    other_day: int
    other_mechanic: int
    deferred: int


def cost_counts(problem: Problem, places: Places) -> CostCounts:
    """Return what is counted for each cost term of the plan."""
    return CostCounts(
        **_timing(problem, places), **_visits(problem, places), **_choices(problem, places)
    )


def _timing(problem: Problem, places: Places) -> Counts:
    """Count work after and before its due date (p50), and expected days in all."""
    tasks = problem.tasks.values()
    done = {name: spot.day for name, spot in places.items()} | last_days_in(problem, places)
    return {
        "late_tasks": sum(t.id not in done or done[t.id] > t.due.p50 for t in tasks),
        "late_days": float(days_late(problem, places).sum()),
        "early_tasks": sum(t.id in done and done[t.id] < t.due.p50 for t in tasks),
        "early_days": float(days_early(problem, places).sum()),
    }


def _visits(problem: Problem, places: Places) -> Counts:
    """Count visits, set-ups, days out of rental, trips and overtime."""
    stays = stays_in(problem, places)
    days, trips = 0.0, set()
    for machine, spot, tasks, stay in stays:
        days += sum(share for _, share in days_taken(problem, machine, tasks, stay))
        if machine.site is not None:
            trips |= {(machine.site, spot.mechanic, day) for day, _ in stay.work}
            trips |= {(machine.site, spot.second, spot.day)} if spot.second else set()
    over = [
        hours - problem.mechanics[who].hours[day]
        for (who, day), hours in hours_worked(problem, places).items()
        if hours > problem.mechanics[who].hours[day] + 1e-9
    ]
    return {
        "visits": len(stays),
        "shared_visits": sum(len(tasks) > 1 for _, _, tasks, _ in stays),
        "setups": sum(len(set().union(*(t.setups for t in tasks))) for _, _, tasks, _ in stays),
        "days_down": days,
        "trips": len(trips),
        "sites": len({site for site, _, _ in trips}),
        "overtime_hours": float(sum(over)),
        "overtime_days": len(over),
    }


def _choices(problem: Problem, places: Places) -> Counts:
    """Count lost bookings, what left its day in the standing plan, and what is put off."""
    stood = [t for t in problem.tasks.values() if t.previous is not None]
    people = sum(
        _same_day(t, places) and places[t.id].mechanic != t.previous.mechanic
        for t in stood
        if t.previous is not None
    )
    return {
        "lost_bookings": len(blocked_bookings(problem, places)),
        "other_day": sum(not _same_day(t, places) for t in stood),
        "other_mechanic": people,
        "deferred": sum(t not in places for t in problem.tasks),
    }


def _same_day(task: Task, places: Places) -> bool:
    spot = places.get(task.id)
    return spot is not None and task.previous is not None and spot.day == task.previous.day
