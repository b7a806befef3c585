"""Price a plan in floating point from its places alone, whatever a solver believed it to cost.

All terms are money.  A plan is a place (day, mechanic) for every planned task; tasks without one
are deferred and priced as if done `deferred_days` after the horizon.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping

import numpy as np

from scheduling.core.planner.problem import (
    Floats,
    PlannedMachine,
    Problem,
    Spot,
    Task,
    expected_early,
    expected_late,
    knots,
    ticks,
)
from scheduling.core.planner.visits import Stay, lasts_days, stay_of

TERMS = (
    "overdue",
    "waste",
    "visit",
    "setup",
    "downtime",
    "trip",
    "overtime",
    "blocked_booking",
    "change",
    "deferral",
)
"""Names of the cost terms, in the order in which a plan states them."""

Places = Mapping[str, Spot]
Stays = list[tuple[PlannedMachine, Spot, list[Task], Stay]]


def price(problem: Problem, places: Places) -> dict[str, float]:
    """Return the cost of a plan by term, from its places (day, mechanic)."""
    cost = price_but_timing(problem, places)
    _price_timing(problem, places, cost)
    return cost


def price_but_timing(problem: Problem, places: Places) -> dict[str, float]:
    """Return the cost of a plan by term, with overdue and waste left at 0."""
    cost = dict.fromkeys(TERMS, 0.0)
    work = _price_visits(problem, stays_in(problem, places), cost)
    for (name, day), hours in work.items():
        mechanic = problem.mechanics[name]
        over = max(0.0, hours - mechanic.hours[day])
        cost["overtime"] += over * mechanic.overtime_cost_per_hour
    lost = set(blocked_bookings(problem, places))
    for machine in problem.machines.values():
        for booking in machine.bookings:
            if booking.id in lost:
                cost["blocked_booking"] += booking.value + problem.weights.goodwill_cost
    for task in problem.tasks.values():
        cost["change"] += change_cost(problem, task, places.get(task.id))
        if task.id not in places:
            cost["deferral"] += deferral_cost(problem, task)
    return cost


def blocked_bookings(problem: Problem, places: Places) -> list[str]:
    """Return the bookings that are lost: a blocking task is not done before their first day."""
    lost = []
    tasks = by_machine(problem)
    for machine in problem.machines.values():
        for booking in machine.bookings:
            for task in tasks.get(machine.id, []):
                spot = places.get(task.id)
                # On the booking's first day it is too late: the machine may go out in the morning.
                late = spot is None or spot.day >= booking.first_day
                if late and task.blocks(booking):
                    lost.append(booking.id)
                    break
    return lost


def by_machine(problem: Problem) -> dict[str, list[Task]]:
    """Return the tasks of each machine that has any."""
    tasks: dict[str, list[Task]] = defaultdict(list)
    for task in problem.tasks.values():
        tasks[task.machine].append(task)
    return tasks


def visit_hours(problem: Problem, machine: PlannedMachine, tasks: list[Task]) -> float:
    """Return the hours of one visit: its own, each set-up once, and the tasks'."""
    setups = set().union(*(t.setups for t in tasks))
    setup_hours = sum(problem.setups[s].hours for s in sorted(setups))
    return machine.visit_hours + setup_hours + sum(t.hours for t in tasks)


def day_share(problem: Problem, hours: float) -> float:
    """Return the share of a day (0.5 or 1) for which a visit of `hours` takes the machine."""
    return 0.5 if hours <= problem.weights.half_day_hours + ticks.TOLERANCE else 1.0


def change_cost(problem: Problem, task: Task, spot: Spot | None) -> float:
    """Return the money for moving a task off its previous day, or to another mechanic."""
    weights = problem.weights
    if task.previous is None:
        return 0.0
    # Put off is moved: somebody was told another day.
    if spot is None or spot.day != task.previous.day:
        return weights.change_cost
    same = spot.mechanic == task.previous.mechanic
    return 0.0 if same else weights.change_cost * weights.mechanic_change_share


def deferral_cost(problem: Problem, task: Task) -> float:
    """Return the share of its own visit, half or whole day, that a deferred task is charged."""
    machine = problem.machines[task.machine]
    share = day_share(problem, visit_hours(problem, machine, [task]))
    downtime = share * machine.day_rate * sum(machine.demand) / len(machine.demand)
    setups = sum(problem.setups[s].cost for s in task.setups)
    return problem.weights.deferred_visit_share * (machine.visit_cost + setups + downtime)


def _price_timing(problem: Problem, places: Places, cost: dict[str, float]) -> None:
    late, early = _late_and_early(problem, places)
    tasks = problem.tasks.values()
    cost["overdue"] = float(np.array([t.overdue_cost_per_day for t in tasks]) @ late)
    cost["waste"] = float(np.array([t.waste_cost_per_day for t in tasks]) @ early)


def days_late(problem: Problem, places: Places) -> Floats:
    """Return the expected days late of each task, (T,)."""
    return _late_and_early(problem, places)[0]


def days_early(problem: Problem, places: Places) -> Floats:
    """Return the expected days early of each task, (T,)."""
    return _late_and_early(problem, places)[1]


def hours_worked(problem: Problem, places: Places) -> dict[tuple[str, int], float]:
    """Return the hours of each mechanic on each day of a plan, travel included."""
    return _price_visits(problem, stays_in(problem, places), dict.fromkeys(TERMS, 0.0))


def _late_and_early(problem: Problem, places: Places) -> tuple[Floats, Floats]:
    tasks = list(problem.tasks.values())
    last = problem.horizon_days + problem.weights.deferred_days
    done = {name: spot.day for name, spot in places.items()} | last_days_in(problem, places)
    when = np.array([done.get(t.id, last) for t in tasks], dtype=float)
    edges = knots([t.due for t in tasks])
    # the days differ by task, so each task is its own reference: D - day against day 0
    moved = edges - when[:, None]
    return expected_late(moved, [0.0])[:, 0], expected_early(moved, [0.0])[:, 0]


def _price_visits(
    problem: Problem, stays: Stays, cost: dict[str, float]
) -> dict[tuple[str, int], float]:
    """Add visits, set-ups, downtime and trips; return the hours of each mechanic and day."""
    work: dict[tuple[str, int], float] = defaultdict(float)
    # A set, as a trip is paid once however many machines it serves.
    trips: set[tuple[str, str, int]] = set()
    for machine, spot, tasks, stay in stays:
        for name, day, hours in _crew_hours(spot, tasks, stay):
            work[name, day] += hours
            if machine.site is not None:
                trips.add((machine.site, name, day))
        cost["visit"] += machine.visit_cost
        cost["setup"] += sum(
            problem.setups[s].cost for s in set().union(*(t.setups for t in tasks))
        )
        cost["downtime"] += machine.day_rate * _days_down(problem, machine, tasks, stay)
    # Sorted, so that the floating-point sums are the same in every run.
    for site, mechanic, day in sorted(trips):
        work[mechanic, day] += problem.sites[site].travel_hours
        cost["trip"] += problem.sites[site].trip_cost
    return work


def _crew_hours(spot: Spot, tasks: list[Task], stay: Stay) -> Iterator[tuple[str, int, float]]:
    """Yield (mechanic, day, hours) of everybody at a visit."""
    yield from ((spot.mechanic or "", day, hours) for day, hours in stay.work)
    if spot.second is not None:
        yield spot.second, spot.day, sum(t.second.hours for t in tasks if t.second)


def _days_down(problem: Problem, machine: PlannedMachine, tasks: list[Task], stay: Stay) -> float:
    """Return the days, weighted by demand, on which a visit keeps the machine from being rented."""
    return sum(s * machine.demand[day] for day, s in days_taken(problem, machine, tasks, stay))


def days_taken(
    problem: Problem, machine: PlannedMachine, tasks: list[Task], stay: Stay
) -> list[tuple[int, float]]:
    """Return the days that a visit takes of its machine, each with the share of it."""
    first = stay.work[0][0] if stay.work else stay.last
    # Half a day is only to be had where the visit ends on the day it begins.
    if first == stay.last:
        return [(first, day_share(problem, visit_hours(problem, machine, tasks)))]
    return [(day, 1.0) for day in range(first, stay.last + 1)]


def stays_in(problem: Problem, places: Places) -> Stays:
    """Return the visits of a plan, each with its machine, spot, tasks and days."""
    stays = []
    for (name, spot), tasks in visits_in(problem, places).items():
        machine = problem.machines[name]
        hours = visit_hours(problem, machine, tasks)
        stays.append((machine, spot, tasks, stay_of(problem, machine, tasks, spot, hours)))
    return stays


def last_days_in(problem: Problem, places: Places) -> dict[str, int]:
    """Return the last day of each task whose visit may go on over several days."""
    if not any(task.several_days for task in problem.tasks.values()):
        return {}
    return {
        task.id: stay.last
        for _, _, tasks, stay in stays_in(problem, places)
        if lasts_days(tasks)
        for task in tasks
    }


def visits_in(problem: Problem, places: Places) -> dict[tuple[str, Spot], list[Task]]:
    """Return the visits of a plan: (machine, spot) to the tasks done there."""
    visits: dict[tuple[str, Spot], list[Task]] = defaultdict(list)
    for task in problem.tasks.values():
        if task.id in places:
            visits[task.machine, places[task.id]].append(task)
    return visits
