"""What keeps a task off a day: the first rule, or what there is no room in."""

import numpy as np

from scheduling.core.planner.plan import Draft
from scheduling.core.planner.problem import (
    BusyMechanic,
    Conflict,
    ConflictKind,
    Mechanic,
    Spot,
    Task,
    day_rule,
    mechanic_rule,
    ticks,
)
from scheduling.core.planner.visits import Visits

from .visit_conflict import able_seconds, visit_conflict


def day_conflict(draft: Draft, k: int, i: int, day: int) -> Conflict:
    """Return what forbids a visit for task `i` of machine `k` alone on `day`."""
    visits, problem = draft.machines[k], draft.case.problem
    task = visits.tasks[i]
    # From what nobody can change to what another plan could: rules, people, order, parts, bays,
    # hours. The first that holds is named, as the others would not help while it does.
    rule = day_rule(problem, visits.machine, task, day)
    if rule is not None:
        return rule
    present = able_and_present(draft, task, day)
    if not present:
        return Conflict(ConflictKind.NOBODY_WORKS, skill=task.skill)
    return (
        visit_conflict(problem, _others(draft, k, i), task, day)
        or missing_part(draft, k, i, day)
        or full_bays(draft, k, i, day)
        or hours_taken(draft, day, present + _helpers(draft, k, i, day, present))
    )


def conflict_at(draft: Draft, k: int, i: int, spot: Spot) -> Conflict:
    """Return what forbids a visit for task `i` of machine `k` alone at `spot`."""
    visits, problem, day = draft.machines[k], draft.case.problem, spot.day
    names = [m.id for m in draft.case.mechanics]
    if day >= draft.case.days:
        return Conflict(ConflictKind.PLAN_ENDED, day=draft.case.days - 1)
    if spot.mechanic not in names:
        return Conflict(ConflictKind.MECHANIC_GONE, mechanic=spot.mechanic or "")
    w = names.index(spot.mechanic)
    task, mechanic = visits.tasks[i], draft.case.mechanics[w]
    rule = day_rule(problem, visits.machine, task, day) or mechanic_rule(problem, task, mechanic)
    if rule is not None:
        return rule
    if draft.case.longest[day, w] == 0:
        return Conflict(ConflictKind.MECHANIC_AWAY, mechanic=mechanic.id)
    return (
        visit_conflict(problem, _others(draft, k, i), task, day)
        or missing_part(draft, k, i, day)
        or full_bays(draft, k, i, day)
        or hours_taken(draft, day, [w, *_helpers(draft, k, i, day, [w])])
    )


def able_and_present(draft: Draft, task: Task, day: int) -> list[int]:
    """Return the mechanics who may do the task by rule and work on the day."""
    problem, crew = draft.case.problem, enumerate(draft.case.mechanics)
    return [
        w
        for w, m in crew
        if draft.case.longest[day, w] > 0 and mechanic_rule(problem, task, m) is None
    ]


def short_of_hours(draft: Draft, k: int, i: int, day: int) -> list[int]:
    """Return the mechanics whose hours alone keep the task off the day; none if something else."""
    problem, visits, task = draft.case.problem, draft.machines[k], draft.machines[k].tasks[i]
    if day_rule(problem, visits.machine, task, day) is not None:
        return []
    if visit_conflict(problem, _others(draft, k, i), task, day) is not None:
        return []
    if missing_part(draft, k, i, day) or full_bays(draft, k, i, day):
        return []
    return able_and_present(draft, task, day)


def _others(draft: Draft, k: int, i: int) -> dict[str, Spot]:
    own = draft.machines[k].tasks[i].id
    return {name: spot for name, spot in draft.places_of(k).items() if name != own}


def _helpers(draft: Draft, k: int, i: int, day: int, present: list[int]) -> list[int]:
    """Return who else could be the second person that the task needs."""
    seconds = {m.id for m in able_seconds(draft.case.problem, draft.machines[k].tasks[i])}
    return [
        w
        for w, m in enumerate(draft.case.mechanics)
        if m.id in seconds and w not in present and draft.case.longest[day, w] > 0
    ]


def missing_part(draft: Draft, k: int, i: int, day: int) -> Conflict | None:
    """Return which part is not there for task `i` of machine `k` on `day`, or None."""
    visits = draft.machines[k]
    slack = draft.slack(visits.parts)[:, day]
    row = int(np.flatnonzero(visits.masks == 1 << i)[0])
    for p, need, left in zip(visits.parts, visits.need[row], slack, strict=True):
        if need > left + ticks.TOLERANCE:
            part = draft.case.problem.parts[draft.case.parts[p]]
            later = sorted(arrives for arrives, _ in part.arrivals if arrives > day)
            if not later:
                return Conflict(ConflictKind.PART_USED_UP, what=part.id)
            slips = later[0] in part.slipping
            kind = ConflictKind.PART_MAY_COME if slips else ConflictKind.PART_COMES
            return Conflict(kind, day=later[0], what=part.id)
    return None


def full_bays(draft: Draft, k: int, i: int, day: int) -> Conflict | None:
    """Return that there is no bay for task `i` of machine `k` on `day`, or None."""
    visits = draft.machines[k]
    row = int(np.flatnonzero(visits.masks == 1 << i)[0])
    if visits.uses is not None:
        return _full_on_the_way(draft, visits, (row, day))
    full = visits.site < 0 and draft.bays[day] + visits.halves[row] > draft.case.bays[day]
    return Conflict(_full_kind(draft, day)) if full else None


def _full_kind(draft: Draft, day: int) -> ConflictKind:
    """Return whether the bays are full on a day, or none is there."""
    return ConflictKind.BAYS_FULL if draft.case.bays[day] else ConflictKind.NO_BAY


def _full_on_the_way(draft: Draft, visits: Visits, start: tuple[int, int]) -> Conflict | None:
    """Return the first day on which the bays are full, if they are for every crew."""
    free = draft.case.bays - draft.bays
    first_full = []
    for crew in np.flatnonzero(np.isfinite(visits.cost[start])).tolist():
        full = [at for at, half in visits.bays_taken((*start, crew)) if half > free[at]]
        if not full:
            return None
        first_full.append(full[0])
    if not first_full:
        return None
    day = max(first_full)
    return Conflict(_full_kind(draft, day), day=None if day == start[1] else day)


def hours_taken(draft: Draft, day: int, mechanics: list[int]) -> Conflict:
    """Return how full the day of each of the mechanics is."""
    busy = tuple(_busy(draft, day, w, draft.case.mechanics[w]) for w in mechanics)
    return Conflict(ConflictKind.HOURS_TAKEN, busy=busy)


def _busy(draft: Draft, day: int, w: int, mechanic: Mechanic) -> BusyMechanic:
    taken = float(draft.used[day, w] / draft.case.scale)
    return BusyMechanic(mechanic.id, taken, mechanic.hours[day])
