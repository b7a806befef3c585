"""Say why a limit, pin or frozen place cannot be kept, day by day."""

from itertools import groupby

from scheduling.core.planner.answer import Clash, ClashDays, ClashLimit, LimitKind
from scheduling.core.planner.plan import Draft
from scheduling.core.planner.problem import (
    BusyMechanic,
    Case,
    Conflict,
    ConflictKind,
    Mechanic,
    Problem,
    Task,
    day_rule,
    fixed_spot,
    mechanic_rule,
)
from scheduling.core.planner.search import KeptLimits

from .day_conflict import full_bays, missing_part
from .visit_conflict import able_seconds, visit_conflict


def clashes_of(case: Case, kept: KeptLimits) -> tuple[Clash, ...]:
    """Return a clash for each task that could not be kept: what stands in its way day by day."""
    tasks = case.problem.tasks
    return tuple(
        Clash(name, limit_of(case.problem, tasks[name]), _barred(case, kept.draft, tasks[name]))
        for name in kept.unkept
    )


def limit_of(problem: Problem, task: Task) -> ClashLimit:
    """Return the rule that the task must keep, with its day."""
    fixed = fixed_spot(problem, task)
    if fixed is None:
        return ClashLimit(LimitKind.LIMIT, -1 if task.limit_day is None else task.limit_day)
    kind = LimitKind.FROZEN if problem.held(task) else LimitKind.PIN
    return ClashLimit(kind, fixed.day, fixed.mechanic)


def _barred(case: Case, draft: Draft, task: Task) -> tuple[ClashDays, ...]:
    """Return what stands in the way on each day on which the limits would allow the task."""
    fixed = fixed_spot(case.problem, task)
    if fixed is not None:
        days = [fixed.day]
    else:
        last = min(case.days - 1, -1 if task.limit_day is None else task.limit_day)
        days = list(range(case.problem.frozen_days, last + 1))
    found = [(day, _day_conflict(case, draft, task, day)) for day in days]
    spans: dict[Conflict, list[tuple[int, int]]] = {}
    # Days in a row with the same reason are one span, or a month's limit would fill a page.
    for conflict, group in groupby(found, key=lambda pair: pair[1]):
        span = [day for day, _ in group]
        spans.setdefault(conflict, []).append((span[0], span[-1]))
    return tuple(ClashDays(tuple(days), conflict) for conflict, days in spans.items())


def _day_conflict(case: Case, draft: Draft, task: Task, day: int) -> Conflict:
    machine = case.problem.machines[task.machine]
    rule = day_rule(case.problem, machine, task, day)
    if rule is not None:
        return rule
    able = [
        (w, m) for w, m in enumerate(case.mechanics) if mechanic_rule(case.problem, task, m) is None
    ]
    if not able:
        return Conflict(ConflictKind.NOBODY_ABLE, skill=task.skill, what=machine.yard)
    present = [(w, m) for w, m in able if case.longest[day, w] > 0]
    if not present:
        return Conflict(ConflictKind.NOBODY_WORKS, skill=task.skill)
    no_room = _no_room(case, draft, task, day)
    if no_room is not None:
        return no_room
    seconds = {m.id for m in able_seconds(case.problem, task)}
    present += [
        (w, m)
        for w, m in enumerate(case.mechanics)
        if m.id in seconds and (w, m) not in present and case.longest[day, w] > 0
    ]
    busy = tuple(_busy(case, draft, day, w, m) for w, m in present)
    return Conflict(ConflictKind.HOURS_TAKEN, busy=busy)


def _no_room(case: Case, draft: Draft, task: Task, day: int) -> Conflict | None:
    """Return what stands in the way beside full hours: order, people, parts or bays."""
    for k, visits in enumerate(draft.machines):
        if task in visits.tasks:
            others = {name: spot for name, spot in draft.places_of(k).items() if name != task.id}
            i = visits.tasks.index(task)
            return (
                visit_conflict(case.problem, others, task, day)
                or missing_part(draft, k, i, day)
                or full_bays(draft, k, i, day)
            )
    return None


def _busy(case: Case, draft: Draft, day: int, w: int, mechanic: Mechanic) -> BusyMechanic:
    """Return how full a mechanic-day is with other tasks that may not wait."""
    taken = float(draft.used[day, w] / case.scale)
    there = float(case.longest[day, w] / case.scale)
    others = [t for t, s in draft.places().items() if s.day == day and s.mechanic == mechanic.id]
    return BusyMechanic(mechanic.id, taken, there, tuple(others))
