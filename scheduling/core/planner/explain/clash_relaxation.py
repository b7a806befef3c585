"""What would have to give for a limit, pin or frozen place to be kept after all, and its price."""

from dataclasses import replace
from math import inf

from scheduling.core.planner.answer import Clash, Relaxation, RelaxationKind
from scheduling.core.planner.control import Watch
from scheduling.core.planner.plan import Draft
from scheduling.core.planner.problem import Problem, Task, fixed_spot
from scheduling.core.planner.visits import machine_visits

from .relaxation import relaxations_of
from .task_placer import TaskPlacer, members


def with_relaxations(
    draft: Draft, problem: Problem, clashes: tuple[Clash, ...], watch: Watch
) -> tuple[Clash, ...]:
    """Return the clashes with their ways out, as far as the seconds allow.

    `draft` is the plan made without the clashing limits, `problem` still has them.
    """
    return tuple(
        clash if watch.over() else replace(clash, gives=_relaxations(draft, problem, clash.task))
        for clash in clashes
    )


def _relaxations(draft: Draft, problem: Problem, name: str) -> tuple[Relaxation, ...]:
    task = problem.tasks[name]
    found = [(k, v) for k, v in enumerate(draft.machines) if v.machine.id == task.machine]
    (k, visits) = found[0]
    kept = [task if t.id == name else t for t in visits.tasks]
    limited = machine_visits(draft.case, visits.machine, kept)
    if limited.masks.tolist() != visits.masks.tolist():
        return ()  # other sets of tasks are offered with the limit than without
    base = draft.copy()
    base.machines = [limited if j == k else v for j, v in enumerate(draft.machines)]
    i = [t.id for t in limited.tasks].index(name)
    # The plan may hold the task beyond its limit: it is taken out, so that it is asked for within.
    slot = next((s for s in draft.chosen[k] if i in members(limited, s)), None)
    if slot is not None:
        base = TaskPlacer(limited, k).without(base, slot, i) or base
    base.reprice(k)
    return (*_later_limit(draft, k, task), *relaxations_of(base, k, i, inf, draft.total()))


def _later_limit(draft: Draft, k: int, task: Task) -> tuple[Relaxation, ...]:
    """Return the plan's own way out: the limit as late as the task is done."""
    spot = draft.places_of(k).get(task.id)
    if spot is None or task.limit_day is None or fixed_spot(draft.case.problem, task) is not None:
        return ()
    return (Relaxation(RelaxationKind.LIMIT, spot, float(spot.day - task.limit_day), "", 0.0),)
