"""Refuse an instance whose fields cannot all be meant.

A broken reference or a pin that no mechanic could ever keep is a mistake in the records, so it
is refused with the field and the id.  A pin or limit that merely finds no room (closed day,
booked machine, full hours) is not: calendars change after people decide, and the planner then
returns the plan that breaks the fewest (`hard_limits`).
"""

from collections.abc import Collection

from .entities import InstanceError, PlannedMachine, Task
from .precedence import refuse_disorder
from .whole_problem import Problem


def refuse_contradictions(problem: Problem) -> None:
    """Raise `InstanceError` for the first reference or rule that cannot hold."""
    for name, row in (
        *((f"sites[{s.id}]", s.yard) for s in problem.sites.values()),
        *((f"mechanics[{m.id}]", m.yard) for m in problem.mechanics.values()),
        *((f"parts[{p.id}]", p.yard) for p in problem.parts.values()),
        *((f"machines[{m.id}]", m.yard) for m in problem.machines.values()),
    ):
        _known(f"{name}.yard", row, problem.yards, "yards")
    _check_machines(problem)
    for task in problem.tasks.values():
        _check_references(problem, task)
        _check_previous(problem, task)
        _check_pin(problem, task)
    refuse_disorder(problem.tasks)


def _known(place: str, value: str, among: Collection[str], name: str) -> None:
    if value not in among:
        raise InstanceError(f"{place}: {value!r} is not among the {name}")


def _check_machines(problem: Problem) -> None:
    seen: set[str] = set()
    for machine in problem.machines.values():
        if machine.site is not None:
            place = f"machines[{machine.id}].site"
            _known(place, machine.site, problem.sites, "sites")
            _same_yard(place, machine.site, problem.sites[machine.site].yard, machine)
        for booking in machine.bookings:
            if booking.id in seen:
                place = f"machines[{machine.id}].bookings[{booking.id}].id"
                raise InstanceError(f"{place}: is there twice")
            seen.add(booking.id)


def _same_yard(place: str, what: str, yard: str, machine: PlannedMachine) -> None:
    if yard != machine.yard:
        raise InstanceError(
            f"{place}: {what!r} belongs to yard {yard!r}, "
            f"but machine {machine.id!r} to {machine.yard!r}"
        )


def _check_references(problem: Problem, task: Task) -> None:
    place = f"tasks[{task.id}]"
    _known(f"{place}.machine", task.machine, problem.machines, "machines")
    for setup in sorted(task.setups):
        _known(f"{place}.setups", setup, problem.setups, "setups")
    for part, _ in task.parts:
        _known(f"{place}.parts", part, problem.parts, "parts")
        machine = problem.machines[task.machine]
        _same_yard(f"{place}.parts", part, problem.parts[part].yard, machine)


def _check_previous(problem: Problem, task: Task) -> None:
    if task.previous is not None and task.previous.mechanic is not None:
        place = f"tasks[{task.id}].previous.mechanic"
        _known(place, task.previous.mechanic, problem.mechanics, "mechanics")


def _check_not_before(task: Task) -> None:
    first, limit = task.not_before, task.limit_day
    if first is not None and limit is not None and first > limit:
        place = f"tasks[{task.id}].not_before"
        raise InstanceError(f"{place}: {first} is after the limit_day {limit}")


def _check_pin(problem: Problem, task: Task) -> None:
    pin, place = task.pin, f"tasks[{task.id}].pin"
    # A pin past the horizon or the limit cannot be kept by any plan: a mistake, not a want of room.
    if pin is None:
        _check_not_before(task)
        return
    if pin.day >= problem.horizon_days:
        last = problem.horizon_days - 1
        raise InstanceError(f"{place}.day: {pin.day} is past the last day, {last}")
    if task.limit_day is not None and pin.day > task.limit_day:
        raise InstanceError(f"{place}.day: {pin.day} is after the limit_day {task.limit_day}")
    if pin.mechanic is not None:
        _check_pinned_mechanic(problem, task, pin.mechanic)
    stood = task.previous
    if (
        stood is not None
        and problem.held(task)
        and (pin.day != stood.day or pin.mechanic not in (None, stood.mechanic))
    ):
        raise InstanceError(
            f"{place}: differs from the place in the frozen days, day {stood.day} "
            f"with {stood.mechanic!r}"
        )


def _check_pinned_mechanic(problem: Problem, task: Task, mechanic: str) -> None:
    place = f"tasks[{task.id}].pin.mechanic"
    _known(place, mechanic, problem.mechanics, "mechanics")
    who = problem.mechanics[mechanic]
    _same_yard(place, mechanic, who.yard, problem.machines[task.machine])
    if task.skill not in who.skills:
        raise InstanceError(f"{place}: {mechanic!r} does not hold the skill {task.skill!r}")
