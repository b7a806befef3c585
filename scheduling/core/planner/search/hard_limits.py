"""Keep as many limits, pins and frozen places as can be kept, before any money is looked at.

Tasks that may wait never stand in the way of the others (they can all wait), so the question is
settled on the tasks that may not, alone: the constraint model with every price 0 and one penalty
for each task left over.  What is left over is then released and planned as well as it can be.
"""

from dataclasses import dataclass, replace

import numpy as np

from scheduling.core.planner.plan import Draft, by_length, by_urgency, greedy_plan
from scheduling.core.planner.problem import Case, Problem, Spot, Task, required
from scheduling.core.planner.visits import Visits, machine_visits

from .candidates import all_visits
from .exact_model import Effort, Model


@dataclass(frozen=True, slots=True)
class KeptLimits:
    """Places of the tasks that can be kept, the ids of those that cannot, and if that is proven."""

    draft: Draft
    places: dict[str, Spot]
    unkept: tuple[str, ...]
    proven: bool


def keep_most(case: Case, effort: Effort) -> KeptLimits:
    """Return places for the tasks that may not wait, the fewest of them left over.

    `effort` bounds the exact solve in deterministic time and in seconds.
    """
    # Money must not decide which limit is kept, so trips and overtime are free here.
    free = replace(
        case, overtime=np.zeros_like(case.overtime), trip_cost=np.zeros_like(case.trip_cost)
    )
    draft = _quick_attempt(free, _bound_tasks(free))
    proven = not draft.unkept()
    # Quick plans that keep everything are proof enough. Only where both fail is the exact model
    # asked.
    if not proven:
        draft = _each_may_give_way(draft)
        answer = Model(draft, list(range(len(draft.machines))), all_visits(draft.machines)).solve(
            effort
        )
        draft, proven = answer.draft or draft, answer.proven
    return KeptLimits(draft, draft.places(), tuple(_left_over(draft)), proven)


def _quick_attempt(case: Case, machines: list[Visits]) -> Draft:
    """Return the better of two quick plans: most urgent first, and of one limit longest first.

    The second is first fit decreasing, which fills tight days well.
    """
    orders = (by_urgency(machines), by_length(machines))
    return min((greedy_plan(case, machines, o) for o in orders), key=lambda x: len(x.unkept()))


def _each_may_give_way(draft: Draft) -> Draft:
    """Return the plan with waiting at the price of one a limit, for the planned ones too.

    The model keeps a planned task that may not wait; here one may have to give way to two others.
    """
    freed = draft.copy()
    freed.machines = [
        replace(
            v, wait_cost=np.where(v.may_wait, 0.0, 1.0), may_wait=np.ones(len(v.tasks), dtype=bool)
        )
        for v in draft.machines
    ]
    for k in range(len(freed.machines)):
        freed.reprice(k)
    return freed


def _left_over(draft: Draft) -> list[str]:
    return [
        visits.tasks[i].id
        for k, visits in enumerate(draft.machines)
        for i in np.flatnonzero(draft.waiting(k))
        if not draft.case.problem.may_wait(visits.tasks[i])
    ]


def _bound_tasks(case: Case) -> list[Visits]:
    """Return the visits of the tasks that may not wait, all at no price."""
    problem = case.problem
    bound = [name for name, task in problem.tasks.items() if not problem.may_wait(task)]
    # Whatever must be done before such a task has to find its place with it.
    kept = required(problem.tasks, bound)
    by_machine: dict[str, list[Task]] = {}
    for task in problem.tasks.values():
        if task.id in kept:
            by_machine.setdefault(task.machine, []).append(task)
    return [
        _at_no_price(problem, machine_visits(case, problem.machines[name], tasks))
        for name, tasks in by_machine.items()
    ]


def _at_no_price(problem: Problem, visits: Visits) -> Visits:
    """Return the visits without prices; what only must be done before another may wait with it."""
    return replace(
        visits,
        may_wait=np.array([problem.may_wait(t) for t in visits.tasks], dtype=bool),
        cost=np.where(np.isfinite(visits.cost), 0.0, np.inf),
        wait_cost=np.zeros_like(visits.wait_cost),
        loss=np.zeros_like(visits.loss),
    )
