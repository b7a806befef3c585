"""What keeps a task off a day beyond its own rules: order, a second person, a long stay."""

from collections.abc import Mapping

from scheduling.core.planner.plan import last_days_in, visit_hours
from scheduling.core.planner.problem import (
    Conflict,
    ConflictKind,
    Mechanic,
    Problem,
    Spot,
    Task,
    mechanic_rule,
)
from scheduling.core.planner.visits import last_days, room_of


def visit_conflict(
    problem: Problem, places: Mapping[str, Spot], task: Task, day: int
) -> Conflict | None:
    """Return what forbids a visit for `task` alone on `day`, or None.

    `places` are those of the machine's other tasks.
    """
    return (
        _out_of_order(problem, places, task, day)
        or _no_second(problem, task, day)
        or _too_long(problem, task, day)
    )


def _out_of_order(
    problem: Problem, places: Mapping[str, Spot], task: Task, day: int
) -> Conflict | None:
    ends = {name: spot.day for name, spot in places.items()} | last_days_in(problem, places)
    for name in sorted(task.after):
        if name not in places:
            return Conflict(ConflictKind.FORERUNNER_WAITS, what=name)
        if ends[name] >= day:
            return Conflict(ConflictKind.FORERUNNER_LATER, day=ends[name], what=name)
    for name, spot in places.items():
        if task.id in problem.tasks[name].after and spot.day <= day:
            return Conflict(ConflictKind.FOLLOWER_SOONER, day=spot.day, what=name)
    return None


def able_seconds(problem: Problem, task: Task, day: int | None = None) -> list[Mechanic]:
    """Return who may be the second person of a task, each beside at least one other mechanic.

    With `day` only those who work then count.
    """
    if task.second is None:
        return []
    yard = problem.machines[task.machine].yard
    crew = [m for m in problem.mechanics.values() if day is None or m.hours[day] > 0]
    leads = [m for m in crew if mechanic_rule(problem, task, m) is None]
    return [
        m
        for m in crew
        if m.yard == yard and task.second.skill in m.skills and any(w.id != m.id for w in leads)
    ]


def _no_second(problem: Problem, task: Task, day: int) -> Conflict | None:
    if task.second is None:
        return None
    if not able_seconds(problem, task):
        return Conflict(ConflictKind.NO_SECOND, skill=task.second.skill)
    if not able_seconds(problem, task, day):
        return Conflict(ConflictKind.SECOND_AWAY, skill=task.second.skill)
    return None


def _too_long(problem: Problem, task: Task, day: int) -> Conflict | None:
    """Return how long the work would last, where that is too long whoever does it."""
    if not task.several_days:
        return None
    machine = problem.machines[task.machine]
    hours = visit_hours(problem, machine, [task])
    found = []
    for mechanic in problem.mechanics.values():
        room = room_of(problem, machine, mechanic)
        if mechanic_rule(problem, task, mechanic) is None and room[day] > 0:
            # The quickest of those who may do it: if even that is too long, it is too long for all.
            found.append(int(last_days(room, hours)[day]))
    last = min(found, default=None)
    if last is None:
        return Conflict(ConflictKind.NOBODY_BEGINS)
    booking = next((b for b in machine.bookings if day <= b.last_day and b.first_day <= last), None)
    if last >= problem.horizon_days:
        return Conflict(ConflictKind.LASTS_PAST_PLAN, day=problem.horizon_days - 1, hours=hours)
    if task.limit_day is not None and last > task.limit_day:
        return Conflict(
            ConflictKind.LASTS_PAST_LIMIT, day=last, last_day=task.limit_day, hours=hours
        )
    if booking is not None:
        return Conflict(ConflictKind.LASTS_INTO_BOOKING, day=last, hours=hours, what=booking.id)
    return None
