"""Say why a limit, pin or frozen place cannot be kept, day by day."""

from itertools import groupby

from scheduling.core.planner.answer import Clash
from scheduling.core.planner.plan import Draft
from scheduling.core.planner.problem import (
    Case,
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
        Clash(name, limit_words(case.problem, tasks[name]), _reason(case, kept.draft, tasks[name]))
        for name in kept.unkept
    )


def limit_words(problem: Problem, task: Task) -> str:
    """Return the rule that the task must keep, in words, with its day."""
    fixed = fixed_spot(problem, task)
    if fixed is None:
        return f"limit_day {task.limit_day}"
    kind = "frozen place" if problem.held(task) else "pin"
    who = f" with {fixed.mechanic}" if fixed.mechanic else ""
    return f"{kind} on day {fixed.day}{who}"


def _reason(case: Case, draft: Draft, task: Task) -> str:
    """Return the obstacles of each day on which the limits would allow the task."""
    fixed = fixed_spot(case.problem, task)
    if fixed is not None:
        days = [fixed.day]
    else:
        last = min(case.days - 1, -1 if task.limit_day is None else task.limit_day)
        days = list(range(case.problem.frozen_days, last + 1))
    if not days:
        return "no day is left before the limit"
    words = [(day, _day_reason(case, draft, task, day)) for day in days]
    spans: dict[str, list[str]] = {}
    # Days in a row with the same reason are one span, or a month's limit would fill a page.
    for reason, group in groupby(words, key=lambda pair: pair[1]):
        span = [day for day, _ in group]
        name = f"day {span[0]}" if len(span) == 1 else f"days {span[0]} to {span[-1]}"
        spans.setdefault(reason, []).append(name)
    return "; ".join(f"{', '.join(names)}: {reason}" for reason, names in spans.items())


def _day_reason(case: Case, draft: Draft, task: Task, day: int) -> str:
    machine = case.problem.machines[task.machine]
    rule = day_rule(case.problem, machine, task, day)
    if rule is not None:
        return rule
    able = [
        (w, m) for w, m in enumerate(case.mechanics) if mechanic_rule(case.problem, task, m) is None
    ]
    if not able:
        return f"no mechanic of yard {machine.yard} may do it (skill {task.skill})"
    present = [(w, m) for w, m in able if case.longest[day, w] > 0]
    if not present:
        return "nobody with the skill works"
    no_room = _no_room(case, draft, task, day)
    if no_room is not None:
        return no_room
    seconds = {m.id for m in able_seconds(case.problem, task)}
    present += [
        (w, m)
        for w, m in enumerate(case.mechanics)
        if m.id in seconds and (w, m) not in present and case.longest[day, w] > 0
    ]
    return ", ".join(_room(case, draft, day, w, m) for w, m in present)


def _no_room(case: Case, draft: Draft, task: Task, day: int) -> str | None:
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


def _room(case: Case, draft: Draft, day: int, w: int, mechanic: Mechanic) -> str:
    """Return how full a mechanic-day is with other tasks that may not wait."""
    taken = draft.used[day, w] / case.scale
    there = case.longest[day, w] / case.scale
    others = [t for t, s in draft.places().items() if s.day == day and s.mechanic == mechanic.id]
    by = f" by {', '.join(others)}" if others else ""
    return f"{mechanic.id} has {taken:.2f} of {there:.2f} h taken{by}"
