"""Instances for the planner, drawn from a seed: a workshop of invented machines.

`small` makes cases that a brute force can settle, `yard` one of any size, and `plain_*` the
pieces from which tests build the textbook cases, where every cost that is not named is 0.
"""

from random import Random
from typing import Any

from tests.benchmarks.plan_additions import sprinkle

Row = dict[str, Any]

WEIGHTS = {
    "half_day_hours": 4.0,
    "deferred_days": 7,
    "deferred_visit_share": 0.5,
    "goodwill_cost": 150.0,
    "change_cost": 20.0,
    "mechanic_change_share": 0.25,
}
SETUPS = [
    {"id": "jack", "hours": 0.4, "cost": 18.0},
    {"id": "empty", "hours": 0.3, "cost": 16.0},
    {"id": "read-out", "hours": 0.2, "cost": 9.0},
]
# name, hours, skill, set-ups, days between services, overdue money a day, has a legal limit
WORK = (
    ("engine oil", 1.2, "general", ("empty",), 60, 18.0, False),
    ("lubrication", 0.5, "general", ("jack",), 25, 5.0, False),
    ("cooling", 1.0, "general", ("empty",), 300, 10.0, False),
    ("brake wear", 2.0, "general", ("jack",), 150, 30.0, False),
    ("hoses", 1.5, "hydraulic", ("empty", "jack"), 180, 22.0, False),
    ("charging", 0.75, "electric", ("read-out",), 120, 8.0, False),
    ("thorough examination", 2.0, "examiner", ("jack", "read-out"), 180, 60.0, True),
)


def instance(days: int, **lists: Any) -> Row:
    """An instance with the given lists and nothing else in it."""
    empty: Row = {
        name: [] for name in ("yards", "sites", "mechanics", "parts", "machines", "tasks")
    }
    top = {"format": "shop-plan-1", "horizon_days": days, "frozen_days": 0, "setups": SETUPS}
    return top | {"weights": dict(WEIGHTS)} | empty | lists


def free_weights() -> Row:
    """Weights under which nothing but the named costs has a price."""
    return dict.fromkeys(WEIGHTS, 0.0) | {"half_day_hours": 1000.0}


def plain_yard(name: str = "y", bays: float = 1000, closed: tuple[int, ...] = ()) -> Row:
    return {"id": name, "bays": bays, "closed_days": list(closed)}


def plain_mechanic(name: str, hours: list[float], **fields: Any) -> Row:
    row = {"id": name, "yard": "y", "skills": ["general"], "hours": hours}
    return row | {"overtime_limit_hours": 0.0, "overtime_cost_per_hour": 0.0} | fields


def plain_machine(name: str, days: int, **fields: Any) -> Row:
    row = {"id": name, "yard": "y", "site": None, "day_rate": 0.0, "demand": [0.0] * days}
    return row | {"bookings": [], "visit_hours": 0.0, "visit_cost": 0.0} | fields


def sharp(day: float) -> Row:
    """A due date without any doubt."""
    return {"p10": day, "p50": day, "p90": day}


def plain_task(name: str, machine: str, hours: float, due: float, **fields: Any) -> Row:
    row = {"id": name, "machine": machine, "hours": hours, "skill": "general", "due": sharp(due)}
    row |= {"limit_day": None, "overdue_cost_per_day": 0.0, "waste_cost_per_day": 0.0}
    row |= {"parts": [], "setups": [], "blocks_rental": False, "previous": None, "pin": None}
    return row | fields


def sprinkled(machines: int, mechanics: int, days: int, seed: int, load: float = 0.7) -> Row:
    """One yard with some of every addition to the format (`plan_additions`)."""
    return sprinkle(yard(machines, mechanics, days, seed, load), seed)


def yard(machines: int, mechanics: int, days: int, seed: int, load: float = 0.9) -> Row:
    """One yard in which the tasks ask for about `load` of the mechanics' hours."""
    rng = Random(seed)
    closed = [day for day in range(days) if day % 7 in (5, 6)]
    crew = [_mechanic(n, days, closed, rng) for n in range(mechanics)]
    site = {"id": "ranch", "yard": "y", "travel_hours": 1.0, "trip_cost": 90.0}
    fleet = [_machine(n, days, rng) for n in range(machines)]
    tasks, parts = [], {}
    hours_left = load * sum(sum(m["hours"]) for m in crew)
    for machine in rng.sample(fleet, len(fleet)):
        centre = rng.uniform(-3, days + 4)
        for work in rng.sample(WORK, rng.choice([1, 1, 2, 2, 3, 4])):
            if hours_left > 0:
                task = _task(f"t{len(tasks)}", machine, work, centre, rng)
                _maybe_part(task, parts, rng)
                tasks.append(task)
                hours_left -= task["hours"] + 0.5
    return instance(
        days,
        yards=[plain_yard(bays=max(2, round(1.7 * mechanics)), closed=tuple(closed))],
        sites=[site],
        mechanics=crew,
        parts=list(parts.values()),
        machines=fleet,
        tasks=tasks,
    )


def _mechanic(n: int, days: int, closed: list[int], rng: Random) -> Row:
    skills = ["general", "hydraulic", "electric", "examiner"]
    hours = [
        0.0 if d in closed or rng.random() < 0.03 else rng.choice([8.0, 6.0]) for d in range(days)
    ]
    return plain_mechanic(
        f"w{n}",
        hours,
        skills=skills if n == 0 else rng.sample(skills[1:], 2) + skills[:1],
        overtime_limit_hours=2.0,
        overtime_cost_per_hour=66.0,
    )


def _machine(n: int, days: int, rng: Random) -> Row:
    rate, remote = rng.choice([60.0, 120.0, 260.0]), rng.random() < 0.12
    bookings, day = [], rng.randint(-4, 12)
    while day < days and rng.random() < 0.6:
        last = day + rng.choice([1, 2, 3, 5]) - 1
        if last >= 0:
            name = f"m{n}b{len(bookings)}"
            value = rate * (last - day + 1)
            bookings.append({"id": name, "first_day": day, "last_day": last, "value": value})
        day = last + rng.randint(3, 12)
    return plain_machine(
        f"m{n}",
        days,
        site="ranch" if remote else None,
        day_rate=rate,
        demand=[round(rng.uniform(0.3, 0.9), 2) for _ in range(days)],
        bookings=bookings,
        visit_hours=0.0 if remote else 0.5,
        visit_cost=10.0 if remote else 32.0,
    )


def _task(name: str, machine: Row, work: tuple, centre: float, rng: Random) -> Row:
    _, hours, skill, setups, interval, overdue, legal = work
    p50 = round(centre + rng.gauss(0, 5), 2)
    spread = min(9.0, max(1.0, 0.05 * interval))
    task = plain_task(name, machine["id"], hours, 0.0, skill=skill, setups=list(setups))
    task["due"] = {"p10": round(p50 - spread, 2), "p50": p50, "p90": round(p50 + 1.4 * spread, 2)}
    task["overdue_cost_per_day"] = overdue
    task["waste_cost_per_day"] = round(rng.uniform(1.0, 3.0), 2)
    task["blocks_rental"] = overdue >= 15.0
    if legal and p50 > 8:
        task["limit_day"] = int(p50) + rng.randint(4, 9)
    return task


def _maybe_part(task: Row, parts: dict[str, Row], rng: Random) -> None:
    if task["limit_day"] is None and rng.random() < 0.5:
        part = parts.setdefault(
            f"p{rng.randint(0, 5)}", {"id": "", "yard": "y", "on_hand": 0, "arrivals": []}
        )
        part["id"] = next(key for key, row in parts.items() if row is part)
        if rng.random() < 0.5:
            part["on_hand"] += 1
        else:
            part["arrivals"].append({"day": rng.randint(2, 10), "quantity": 1})
        task["parts"] = [{"part": part["id"], "quantity": 1}]


def small(seed: int, machines: int = 3, days: int = 4, mechanics: int = 2) -> Row:
    """A case of two tasks a machine that can be settled by trying every plan."""
    rng = Random(seed)
    fleet, tasks = [], []
    for n in range(machines):
        first = rng.randint(1, days)
        booking = {"id": f"b{n}", "first_day": first, "last_day": first + 1, "value": 60.0}
        fleet.append(
            plain_machine(
                f"m{n}",
                days,
                site="ranch" if n == 0 and rng.random() < 0.5 else None,
                day_rate=rng.choice([40.0, 120.0]),
                demand=[round(rng.random(), 2) for _ in range(days)],
                bookings=[booking] if rng.random() < 0.5 else [],
                visit_hours=0.5,
                visit_cost=30.0,
            )
        )
        for work in rng.sample(WORK[:4], 2):
            task = _task(f"t{len(tasks)}", fleet[-1], work, days / 2, rng)
            if rng.random() < 0.3:
                task["parts"] = [{"part": "filter", "quantity": 1}]
            tasks.append(task)
    return instance(
        days,
        yards=[plain_yard(bays=1)],
        sites=[{"id": "ranch", "yard": "y", "travel_hours": 1.0, "trip_cost": 50.0}],
        mechanics=[
            plain_mechanic(
                f"w{n}",
                [rng.choice([3.0, 4.0]) for _ in range(days)],
                overtime_limit_hours=1.0,
                overtime_cost_per_hour=60.0,
            )
            for n in range(mechanics)
        ],
        parts=[
            {"id": "filter", "yard": "y", "on_hand": 1, "arrivals": [{"day": 2, "quantity": 1}]}
        ],
        machines=fleet,
        tasks=tasks,
    )
