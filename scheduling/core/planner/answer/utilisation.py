"""How full a plan makes each mechanic, each skill and each yard's bays, by day or week.

A visit's hours are its own, each set-up once, and its tasks'; travel to a ranch counts once a
mechanic and day; a second person's hours count for the skill that is asked of them.  What belongs
to no task alone (visit, set-ups, travel) is shared among the tasks of the visit, or of the trip, in
proportion to their hours, so the skills' hours add up to the mechanics'.  Hours are decimal; lists
have one number a day (H) or a week.
"""

from collections import defaultdict
from dataclasses import dataclass, field

from scheduling.core.planner.plan import Places, days_taken, stays_in
from scheduling.core.planner.problem import Problem

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
class Utilisation:
    """Bars by mechanic, by skill and by yard (bays).

    The hours available of a skill are those of everybody who holds it, so they overlap.
    """

    mechanics: dict[str, Bar]
    skills: dict[str, Bar]
    bays: dict[str, Bar]

    def weeks(self) -> "Utilisation":
        """Return the bars summed over each seven days."""
        return Utilisation(*(_each_week(b) for b in (self.mechanics, self.skills, self.bays)))


def _each_week(bars: dict[str, Bar]) -> dict[str, Bar]:
    return {name: bar.weeks() for name, bar in bars.items()}


def by_week(days: tuple[float, ...]) -> tuple[float, ...]:
    """Return the sums over each seven days; the last week may be shorter."""
    return tuple(sum(days[start : start + WEEK]) for start in range(0, len(days), WEEK))


Shares = list[tuple[str, float]]
"""Skills with their weights (hours)."""


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

    def add(self, who: tuple[str, int], hours: float, parts: Shares) -> None:
        """Count the hours of a mechanic on a day and share them among skills by weight."""
        mechanic, day = who
        self.mechanics[mechanic][day] += hours
        work = sum(weight for _, weight in parts)
        for skill, weight in parts:
            self.skills[skill][day] += hours * (weight / work if work > 0 else 1.0 / len(parts))


def utilisation_of(problem: Problem, places: Places) -> Utilisation:
    """Return how full a plan, given by its places, makes mechanics, skills and bays by day."""
    used = _used(problem, places)
    crew = problem.mechanics.values()
    skills = sorted({s for m in crew for s in m.skills} | {t.skill for t in problem.tasks.values()})
    hours = {m.id: open_hours(problem, m.id) for m in crew}
    most = {m.id: open_hours(problem, m.id, overtime=True) for m in crew}

    def holding(there: dict[str, list[float]], skill: str) -> tuple[float, ...]:
        days = [there[m.id] for m in crew if skill in m.skills]
        return tuple(map(sum, zip(*days, strict=True))) or (0.0,) * problem.horizon_days

    return Utilisation(
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
    where, days = problem.yards[yard], range(problem.horizon_days)
    return [0.0 if day in where.closed_days else where.bays_on(day) for day in days]


def _used(problem: Problem, places: Places) -> _Used:
    used = _Used(problem.horizon_days)
    trips: dict[tuple[str, str, int], Shares] = defaultdict(list)
    for machine, spot, tasks, stay in stays_in(problem, places):
        own = [(task.skill, task.hours) for task in tasks]
        crew = [((spot.mechanic or "", day), hours, own) for day, hours in stay.work]
        if spot.second is not None:
            beside = [(t.second.skill, t.second.hours) for t in tasks if t.second]
            crew.append(((spot.second, spot.day), sum(h for _, h in beside), beside))
        for who, hours, parts in crew:
            used.add(who, hours, parts)
            if machine.site is not None:
                trips[machine.site, *who] += parts
        if machine.site is None:
            _use_bays(problem, used, machine.yard, days_taken(problem, machine, tasks, stay))
    for (site, mechanic, day), parts in trips.items():
        used.add((mechanic, day), problem.sites[site].travel_hours, parts)
    return used


def _use_bays(problem: Problem, used: _Used, yard: str, taken: list[tuple[int, float]]) -> None:
    """Count the bay of a visit on each day; on closed days nobody needs it."""
    for day, share in taken:
        if day not in problem.yards[yard].closed_days:
            used.bays[yard][day] += share
