"""A plan's cost in words: for each term what was counted to come to that money."""

from collections.abc import Mapping
from dataclasses import dataclass

from scheduling.core.planner.plan import (
    TERMS,
    Places,
    blocked_bookings,
    days_early,
    days_late,
    days_taken,
    hours_worked,
    last_days_in,
    stays_in,
)
from scheduling.core.planner.problem import Problem, Task


@dataclass(frozen=True, slots=True)
class TermLine:
    """A cost term with its money, and in words what it counts."""

    term: str
    money: float
    words: str


def term_lines(problem: Problem, places: Places, cost: Mapping[str, float]) -> tuple[TermLine, ...]:
    """Return a line for each cost term (money) of the plan, in the order of the terms."""
    words = timing_words(problem, places) | visit_words(problem, places)
    words |= choice_words(problem, places)
    return tuple(TermLine(term, cost[term], words[term]) for term in TERMS)


def timing_words(problem: Problem, places: Places) -> dict[str, str]:
    """Say how much work comes after and before its due date (p50), and expected days in all."""
    tasks = problem.tasks.values()
    done = {name: spot.day for name, spot in places.items()} | last_days_in(problem, places)
    after = sum(t.id not in done or done[t.id] > t.due.p50 for t in tasks)
    before = sum(t.id in done and done[t.id] < t.due.p50 for t in tasks)
    late, early = days_late(problem, places).sum(), days_early(problem, places).sum()
    return {
        "overdue": f"{pieces(after)} after the due date, {late:.1f} days late expected in all",
        "waste": f"{pieces(before)} before the due date, {early:.1f} days early expected in all",
    }


def visit_words(problem: Problem, places: Places) -> dict[str, str]:
    """Count visits, set-ups, days out of rental, trips and overtime."""
    stays = stays_in(problem, places)
    shared = sum(len(tasks) > 1 for _, _, tasks, _ in stays)
    setups = sum(len(set().union(*(t.setups for t in tasks))) for _, _, tasks, _ in stays)
    days, trips = 0.0, set()
    for machine, spot, tasks, stay in stays:
        days += sum(share for _, share in days_taken(problem, machine, tasks, stay))
        if machine.site is not None:
            trips |= {(machine.site, spot.mechanic, day) for day, _ in stay.work}
            trips |= {(machine.site, spot.second, spot.day)} if spot.second else set()
    over = [
        hours - problem.mechanics[who].hours[day]
        for (who, day), hours in hours_worked(problem, places).items()
        if hours > problem.mechanics[who].hours[day] + 1e-9
    ]
    sites = len({site for site, _, _ in trips})
    return {
        "visit": f"{many(len(stays), 'visit')}, {shared} of them with several pieces of work",
        "setup": f"{many(setups, 'set-up')}, each once a visit",
        "downtime": f"{days:.1f} days of machines out of rental",
        "trip": f"{many(len(trips), 'trip')} to {many(sites, 'ranch', 'ranches')}",
        "overtime": f"{sum(over):.1f} h of overtime on {many(len(over), 'day')} of mechanics",
    }


def choice_words(problem: Problem, places: Places) -> dict[str, str]:
    """Count lost bookings, what left its day in the standing plan, and what is put off."""
    lost = blocked_bookings(problem, places)
    stood = [t for t in problem.tasks.values() if t.previous is not None]
    days = sum(not _same_day(t, places) for t in stood)
    people = sum(
        _same_day(t, places) and places[t.id].mechanic != t.previous.mechanic
        for t in stood
        if t.previous is not None
    )
    waiting = sum(t not in places for t in problem.tasks)
    return {
        "blocked_booking": f"{many(len(lost), 'booking')} given up",
        "change": f"{pieces(days)} off the day on which it stood, "
        f"{people} with another mechanic only",
        "deferral": f"{pieces(waiting)} put off past the plan",
    }


def _same_day(task: Task, places: Places) -> bool:
    spot = places.get(task.id)
    return spot is not None and task.previous is not None and spot.day == task.previous.day


def many(count: int, one: str, more: str = "") -> str:
    """Return a count with its noun."""
    return f"{count} {one if count == 1 else more or one + 's'}"


def pieces(count: int) -> str:
    """Return a count of tasks in words."""
    return many(count, "piece of work", "pieces of work")
