"""What keeps a task off a day beyond its own rules: order, a second person, a long stay."""

from collections.abc import Mapping

from scheduling.core.planner.plan import last_days_in, visit_hours
from scheduling.core.planner.problem import Mechanic, Problem, Spot, Task, mechanic_rule
from scheduling.core.planner.visits import last_days, room_of


def visit_conflict(
    problem: Problem, places: Mapping[str, Spot], task: Task, day: int
) -> str | None:
    """Return in words what forbids a visit for `task` alone on `day`, or None.

    `places` are those of the machine's other tasks.
    """
    return (
        _out_of_order(problem, places, task, day)
        or _no_second(problem, task, day)
        or _too_long(problem, task, day)
    )


def _out_of_order(problem: Problem, places: Mapping[str, Spot], task: Task, day: int) -> str | None:
    ends = {name: spot.day for name, spot in places.items()} | last_days_in(problem, places)
    for name in sorted(task.after):
        if name not in places:
            return f"it comes after {name}, which has no place"
        if ends[name] >= day:
            return f"it comes after {name}, which is done on day {ends[name]}"
    for name, spot in places.items():
        if task.id in problem.tasks[name].after and spot.day <= day:
            return f"{name}, which comes after it, is on day {spot.day}"
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


def _no_second(problem: Problem, task: Task, day: int) -> str | None:
    if task.second is None:
        return None
    if not able_seconds(problem, task):
        return f"nobody else holds the skill {task.second.skill} to be the second person"
    if not able_seconds(problem, task, day):
        return f"nobody else works who holds the skill {task.second.skill} as second person"
    return None


def _too_long(problem: Problem, task: Task, day: int) -> str | None:
    """Say how long the work would last, where that is too long whoever does it."""
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
        return "nobody with the skill has the hours to begin it"
    booking = next((b for b in machine.bookings if day <= b.last_day and b.first_day <= last), None)
    if last >= problem.horizon_days:
        return f"its {hours:g} h would not be done by day {problem.horizon_days - 1}"
    if task.limit_day is not None and last > task.limit_day:
        return f"its {hours:g} h would last until day {last}, past its limit, day {task.limit_day}"
    if booking is not None:
        return f"its {hours:g} h would last until day {last}, into booking {booking.id}"
    return None
