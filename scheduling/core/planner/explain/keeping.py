"""What would have to give for a limit, pin or frozen place to be kept after all, and its price."""

from dataclasses import replace
from math import inf

from scheduling.core.planner.answer import Clash, Give
from scheduling.core.planner.control import Watch
from scheduling.core.planner.plan import Load
from scheduling.core.planner.problem import Problem, Task, fixed_spot
from scheduling.core.planner.visits import machine_visits

from .giving import ways_out
from .inserting import Inserting, members


def with_ways_out(
    load: Load, problem: Problem, clashes: tuple[Clash, ...], watch: Watch
) -> tuple[Clash, ...]:
    """Return the clashes with their ways out, as far as time allows.

    `load` is the plan made without the clashing limits, `problem` still has them.
    """
    return tuple(
        clash if watch.over() else replace(clash, gives=_ways(load, problem, clash.task))
        for clash in clashes
    )


def _ways(load: Load, problem: Problem, name: str) -> tuple[Give, ...]:
    task = problem.tasks[name]
    found = [(k, v) for k, v in enumerate(load.machines) if v.machine.id == task.machine]
    (k, visits) = found[0]
    kept = [task if t.id == name else t for t in visits.tasks]
    limited = machine_visits(load.case, visits.machine, kept)
    if limited.masks.tolist() != visits.masks.tolist():
        return ()  # other sets of tasks are offered with the limit than without
    base = load.copy()
    base.machines = [limited if j == k else v for j, v in enumerate(load.machines)]
    i = [t.id for t in limited.tasks].index(name)
    slot = next((s for s in load.chosen[k] if i in members(limited, s)), None)
    if slot is not None:
        base = Inserting(limited, k).without(base, slot, i) or base
    base.reprice(k)
    return (*_later_limit(load, k, task), *ways_out(base, k, i, inf, load.total()))


def _later_limit(load: Load, k: int, task: Task) -> tuple[Give, ...]:
    """Return the plan's own way out: the limit as late as the task is done."""
    spot = load.places_of(k).get(task.id)
    if spot is None or task.limit_day is None or fixed_spot(load.case.problem, task) is not None:
        return ()
    return (Give("limit", spot, float(spot.day - task.limit_day), "", 0.0),)
