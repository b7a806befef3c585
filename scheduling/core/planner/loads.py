"""How full a plan makes each mechanic, each skill and each yard's bays, by day or week.

A visit's hours are its own, each set-up once, and its tasks'; travel to a ranch counts once a
mechanic and day.  What belongs to no task alone (visit, set-ups, travel) is shared among the tasks
of the visit, or of the trip, in proportion to their hours, so the skills' hours add up to the
mechanics'.  Hours are decimal; lists have one number a day (H) or a week.
"""

from collections import defaultdict
from dataclasses import dataclass, field

from .cost import Places, day_share, visit_hours, visits_in
from .entities import Task
from .problem import Problem
from .result import Result

WEEK = 7
"""Days of a week; the first week begins on day 0."""


@dataclass(frozen=True, slots=True)
class Bar:
    """Hours (bays: bay-days) `used`, `available`, and `most` with overtime, by day or week."""

    name: str
    used: tuple[float, ...]
    available: tuple[float, ...]
    most: tuple[float, ...]

    def weeks(self) -> "Bar":
        """Return the bar summed over days 0 to 6, 7 to 13 and so on."""
        return Bar(self.name, by_week(self.used), by_week(self.available), by_week(self.most))


@dataclass(frozen=True, slots=True)
class Loads:
    """Bars by mechanic, by skill and by yard (bays).

    The hours available of a skill are those of everybody who holds it, so they overlap.
    """

    mechanics: dict[str, Bar]
    skills: dict[str, Bar]
    bays: dict[str, Bar]

    def weeks(self) -> "Loads":
        """Return the bars by week."""
        return Loads(*(_each_week(b) for b in (self.mechanics, self.skills, self.bays)))


def _each_week(bars: dict[str, Bar]) -> dict[str, Bar]:
    return {name: bar.weeks() for name, bar in bars.items()}


def by_week(days: tuple[float, ...]) -> tuple[float, ...]:
    """Return the sums over each seven days; the last week may be shorter."""
    return tuple(sum(days[start : start + WEEK]) for start in range(0, len(days), WEEK))


@dataclass(slots=True)
class _Used:
    """Hours by mechanic and by skill, and bay-days by yard, each a list of H numbers."""

    days: int
    mechanics: dict[str, list[float]] = field(init=False)
    skills: dict[str, list[float]] = field(init=False)
    bays: dict[str, list[float]] = field(init=False)

    def __post_init__(self) -> None:
        for name in ("mechanics", "skills", "bays"):
            setattr(self, name, defaultdict(lambda: [0.0] * self.days))

    def add(self, mechanic: str, day: int, hours: float, tasks: list[Task]) -> None:
        """Count hours of a mechanic and share them among the tasks' skills."""
        self.mechanics[mechanic][day] += hours
        work = sum(task.hours for task in tasks)
        for task in tasks:
            share = task.hours / work if work > 0 else 1.0 / len(tasks)
            self.skills[task.skill][day] += hours * share


def loads(problem: Problem, result: Result) -> Loads:
    """Return how full a plan makes mechanics, skills and bays, day by day."""
    used = _used(problem, result.places())
    crew = problem.mechanics.values()
    skills = sorted({s for m in crew for s in m.skills} | {t.skill for t in problem.tasks.values()})
    hours = {m.id: open_hours(problem, m.id) for m in crew}
    most = {m.id: open_hours(problem, m.id, overtime=True) for m in crew}

    def holding(there: dict[str, list[float]], skill: str) -> tuple[float, ...]:
        days = [there[m.id] for m in crew if skill in m.skills]
        return tuple(map(sum, zip(*days, strict=True))) or (0.0,) * problem.horizon_days

    return Loads(
        mechanics={
            m: Bar(m, tuple(used.mechanics[m]), tuple(hours[m]), tuple(most[m])) for m in hours
        },
        skills={
            s: Bar(s, tuple(used.skills[s]), holding(hours, s), holding(most, s)) for s in skills
        },
        bays={
            y: Bar(y, tuple(used.bays[y]), tuple(there), tuple(there))
            for y, there in ((y, open_bays(problem, y)) for y in problem.yards)
        },
    )


def open_hours(problem: Problem, mechanic: str, overtime: bool = False) -> list[float]:
    """Return the mechanic's hours on each day, with or without overtime, 0 where shut, (H,)."""
    who = problem.mechanics[mechanic]
    closed = problem.yards[who.yard].closed_days
    return [
        h + (who.overtime_on(day) if overtime else 0.0) if h > 0 and day not in closed else 0.0
        for day, h in enumerate(who.hours)
    ]


def open_bays(problem: Problem, yard: str) -> list[float]:
    """Return the yard's bay-days on each day, 0 where it is shut, (H,)."""
    where = problem.yards[yard]
    return [0.0 if d in where.closed_days else where.bays for d in range(problem.horizon_days)]


def _used(problem: Problem, places: Places) -> _Used:
    used = _Used(problem.horizon_days)
    trips: dict[tuple[str, str, int], list[Task]] = defaultdict(list)
    for (name, spot), tasks in visits_in(problem, places).items():
        machine, mechanic = problem.machines[name], spot.mechanic or ""
        hours = visit_hours(problem, machine, tasks)
        used.add(mechanic, spot.day, hours, tasks)
        if machine.site is None:
            used.bays[machine.yard][spot.day] += day_share(problem, hours)
        else:
            trips[machine.site, mechanic, spot.day] += tasks
    for (site, mechanic, day), tasks in trips.items():
        used.add(mechanic, day, problem.sites[site].travel_hours, tasks)
    return used
