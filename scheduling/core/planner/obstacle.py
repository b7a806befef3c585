"""What keeps a task off a day: the first rule, or what there is no room in."""

import numpy as np

from . import ticks
from .entities import Mechanic
from .load import Load
from .rules import day_rule, mechanic_rule


def obstacle(load: Load, k: int, i: int, day: int) -> str:
    """Return in words what forbids a visit for task `i` of machine `k` alone on `day`."""
    visits, problem = load.machines[k], load.case.problem
    task = visits.tasks[i]
    rule = day_rule(problem, visits.machine, task, day)
    if rule is not None:
        return rule
    able = [w for w, m in enumerate(load.case.mechanics) if mechanic_rule(problem, task, m) is None]
    present = [w for w in able if load.case.longest[day, w] > 0]
    if not present:
        return f"nobody works who holds the skill {task.skill}"
    return (
        _missing_part(load, k, i, day)
        or _full_bays(load, k, i, day)
        or hours_taken(load, day, present)
    )


def _missing_part(load: Load, k: int, i: int, day: int) -> str | None:
    visits = load.machines[k]
    slack = load.slack(visits.parts)[:, day]
    row = int(np.flatnonzero(visits.masks == 1 << i)[0])
    for p, need, left in zip(visits.parts, visits.need[row], slack, strict=True):
        if need > left + ticks.TOLERANCE:
            part = load.case.problem.parts[load.case.parts[p]]
            later = sorted(arrives for arrives, _ in part.arrivals if arrives > day)
            return f"{part.id} arrives on day {later[0]}" if later else f"{part.id} is used up"
    return None


def _full_bays(load: Load, k: int, i: int, day: int) -> str | None:
    visits = load.machines[k]
    row = int(np.flatnonzero(visits.masks == 1 << i)[0])
    full = visits.site < 0 and load.bays[day] + visits.halves[row] > load.case.bays[day]
    return "the bays are full" if full else None


def hours_taken(load: Load, day: int, mechanics: list[int]) -> str:
    """Return how full the day of each of the mechanics is."""
    return ", ".join(_taken(load, day, w, load.case.mechanics[w]) for w in mechanics)


def _taken(load: Load, day: int, w: int, mechanic: Mechanic) -> str:
    taken, there = load.used[day, w] / load.case.scale, mechanic.hours[day]
    return f"{mechanic.id} has {taken:.2f} of {there:.2f} h taken"
