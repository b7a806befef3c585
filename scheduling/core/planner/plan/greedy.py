"""First plans in one pass over the machines.

The most urgent machine is planned first, or the one with most at stake for each hour of work; each
as well as it can be while the others stay.
"""

from collections.abc import Mapping
from math import inf

from scheduling.core.planner.problem import Case, Spot
from scheduling.core.planner.visits import Visits

from .draft import Draft
from .replan_machine import put_places, replan, waiting_price


def urgency(visits: Visits) -> tuple[float, float]:
    """Return a sorting key: machines with fixed places, then limits by day, then by due day."""
    first = inf
    for task, may_wait in zip(visits.tasks, visits.may_wait, strict=True):
        if not may_wait:
            # Pins and frozen places have no second choice, so they come before all limits.
            limit = -1 if task.pin or task.limit_day is None else task.limit_day
            first = min(first, float(limit))
    return first, min(task.due.p50 for task in visits.tasks)


def by_urgency(machines: list[Visits]) -> list[int]:
    """Return the machines' indices, most urgent first, by limit day and due day."""
    return sorted(range(len(machines)), key=lambda k: urgency(machines[k]))


def by_stake(machines: list[Visits]) -> list[int]:
    """Return the machines' indices by limit day, then by the money at stake an hour of work."""
    # Money for each hour: the rule that is optimal for a knapsack whose items may be cut (Dantzig
    # 1957, Oper. Res. 5:266, doi 10.1287/opre.5.2.266; from memory).
    stake = [waiting_price(v).sum() / max(1, int(v.time.max())) for v in machines]
    return sorted(range(len(machines)), key=lambda k: (urgency(machines[k])[0], -stake[k]))


def by_length(machines: list[Visits]) -> list[int]:
    """Return the machines' indices by limit, then most hours first."""
    return sorted(
        range(len(machines)), key=lambda k: (urgency(machines[k])[0], -int(machines[k].time.max()))
    )


def greedy_plan(case: Case, machines: list[Visits], order: list[int] | None = None) -> Draft:
    """Return a plan within hours, bays and stock; a limit day may be missed for want of room.

    The machines come in `order`, most urgent first unless it is given.
    """
    draft = Draft.empty(case, machines)
    for k in by_urgency(machines) if order is None else order:
        replan(draft, k)
    return draft


def placed_plan(case: Case, machines: list[Visits], places: Mapping[str, Spot]) -> Draft:
    """Return the plan with tasks on the given days with the given people, where free.

    The rest waits.
    """
    draft = Draft.empty(case, machines)
    for k in by_urgency(machines):
        put_places(draft, k, places)
    return draft


def standing_plan(case: Case, machines: list[Visits]) -> Draft:
    """Return the previous plan as far as its days can stand; what it did not plan waits."""
    stood = {t.id: t.previous for t in case.problem.tasks.values() if t.previous is not None}
    return placed_plan(case, machines, stood)


def completed(draft: Draft, order: list[int] | None = None) -> Draft:
    """Return the plan with each machine that has waiting tasks planned anew, where cheaper.

    The machines come in `order`, most urgent first unless it is given.
    """
    done = draft.copy()
    for k in by_urgency(done.machines) if order is None else order:
        if done.waiting(k).any():
            improve_machine(done, k)
    return done


def settled(draft: Draft) -> Draft:
    """Return the plan after every machine had the chance of a cheaper place of its own."""
    done = draft.copy()
    for k in by_urgency(done.machines):
        improve_machine(done, k)
    return done


def improve_machine(draft: Draft, k: int) -> None:
    """Plan machine `k` anew, on any days, and keep the better of old and new."""
    before, slots = draft.total(), draft.chosen[k]
    draft.clear(k)
    replan(draft, k)
    # A gain of less is rounding and no gain.
    if draft.total() > before - 1e-9:
        draft.clear(k)
        for slot in slots:
            draft.put(k, slot)
        draft.reprice(k)
