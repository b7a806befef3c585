"""How full a plan's days are: hours used of hours there, by mechanic and by skill."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from fleet.charts import LoadBar, draw_bar
from fleet.models import Person
from scheduling.models import PlannedJob, PlannedWork
from scheduling.plan.horizon import ANY_SKILL, Horizon, Worker

NO_SKILL = "no skill asked"
"""What work without a skill of its own is called."""

Used = Mapping[tuple[int, date], float]
"""(person, day) -> minutes."""


@dataclass(frozen=True)
class LoadCell:
    """One day of a row: its load, and the bar that shows it; most: minutes that reach its top."""

    day: date
    load: LoadBar
    most: float
    closed: bool

    @property
    def bar(self) -> str:
        """The bar, as SVG."""
        return draw_bar(self.load, self.most)


@dataclass(frozen=True)
class LoadRow:
    """A mechanic or a skill over the days; username: where work can be moved to."""

    name: str
    cells: Sequence[LoadCell]
    username: str = ""


@dataclass(frozen=True)
class PlanLoads:
    """Rows of a grid over the same days.  What a skill has there is had by who holds it."""

    days: Sequence[date]
    everybody: LoadRow
    mechanics: Sequence[LoadRow]
    skills: Sequence[LoadRow]


def minutes_used(jobs: Iterable[PlannedJob]) -> Used:
    """Return the minutes that a plan takes of each person: visits, set-ups, work, ways there.

    The way to a remote yard is driven once a day by each who works there, as the plan reckons.
    """
    used: dict[tuple[int, date], float] = defaultdict(float)
    trips: set[tuple[int, date, int]] = set()
    travel: dict[int, float] = {}
    for job in jobs:
        yard = job.machine.yard
        for day, minutes in job.minutes_by_day().items():
            used[job.mechanic_id, day] += minutes
            trips.add((job.mechanic_id, day, yard.pk))
        if job.second_id:
            used[job.second_id, job.day] += job.second_minutes
            trips.add((job.second_id, job.day, yard.pk))
        travel[yard.pk] = 60 * yard.travel_hours if yard.remote else 0.0
    for person, day, place in trips:
        used[person, day] += travel[place]
    return used


def plan_loads(
    jobs: Sequence[PlannedJob],
    workers: Sequence[Worker],
    horizon: Horizon,
    people: Iterable[Person],
) -> PlanLoads:
    """Return the grid of these jobs; their work has to know its skill (grid_jobs)."""
    used, there = minutes_used(jobs), minutes_there(workers, horizon)
    days = [horizon.date(number) for number in range(horizon.days)]
    each = {
        (str(person), person.username): [
            LoadBar(str(person), used.get((person.pk, day), 0.0), there.get((person.pk, day), 0.0))
            for day in days
        ]
        for person in people
    }
    skills = {(name, ""): loads for name, loads in _by_skill(jobs, workers, horizon).items()}
    everybody = {("everybody", ""): _together(each.values(), days)}
    return PlanLoads(
        days,
        _rows(everybody, horizon)[0],
        _rows(each, horizon),
        # skills differ by much: each has a scale of its own, that its fullness can be seen
        [row for one in skills.items() for row in _rows(dict([one]), horizon)],
    )


def minutes_there(workers: Iterable[Worker], horizon: Horizon) -> Used:
    """Return the minutes that each person has by day."""
    there: dict[tuple[int, date], float] = defaultdict(float)
    for worker in workers:
        for number, hours in enumerate(worker.hours):
            there[worker.pk, horizon.date(number)] += 60 * hours
    return there


def skill_of(work: PlannedWork) -> str:
    """Return the name of the skill that work asks for."""
    asked = work.service or work.finding
    return asked.skill.name if asked and asked.skill else ANY_SKILL


def minutes_by_skill(jobs: Iterable[PlannedJob]) -> dict[tuple[str, date], float]:
    """Return minutes by skill and day; a visit's own are shared among its work by its minutes."""
    found: dict[tuple[str, date], float] = defaultdict(float)
    for job in jobs:
        work = list(job.work.all())
        total = sum(each.minutes for each in work)
        for each in work:
            share = each.minutes / total if total else 1 / len(work)
            for day, minutes in job.minutes_by_day().items():
                found[skill_of(each), day] += minutes * share
    return found


def _by_skill(
    jobs: Sequence[PlannedJob], workers: Sequence[Worker], horizon: Horizon
) -> dict[str, list[LoadBar]]:
    """Return the loads of each skill that is held or asked for, of no skill last."""
    used = minutes_by_skill(jobs)
    names = {*(name for name, _ in used), *(name for worker in workers for name in worker.skills)}
    return {
        said: [
            LoadBar(said, used.get((name, horizon.date(n)), 0.0), 60 * _held(name, workers, n))
            for n in range(horizon.days)
        ]
        for name in sorted(names, key=lambda name: (name == ANY_SKILL, name))
        for said in [NO_SKILL if name == ANY_SKILL else name]
    }


def _held(skill: str, workers: Iterable[Worker], day: int) -> float:
    """Return the hours on a day of all who hold a skill."""
    return sum(w.hours[day] for w in workers if skill in w.skills or skill == ANY_SKILL)


def _together(rows: Iterable[Sequence[LoadBar]], days: Sequence[date]) -> list[LoadBar]:
    rows = list(rows)
    return [
        LoadBar("everybody", sum(row[n].work for row in rows), sum(row[n].room for row in rows))
        for n in range(len(days))
    ]


def _rows(loads: Mapping[tuple[str, str], Sequence[LoadBar]], horizon: Horizon) -> list[LoadRow]:
    """Return rows whose bars have one scale."""
    most = max((max(x.work, x.room) for row in loads.values() for x in row), default=0.0)
    return [
        LoadRow(
            name,
            [
                LoadCell(horizon.date(n), load, most, not horizon.open_hours[n])
                for n, load in enumerate(row)
            ],
            username,
        )
        for (name, username), row in loads.items()
    ]
