"""Instances of the planner's benchmark: shops of four sizes and some awkward shapes, by seed.

Work is drawn until the tasks ask for 90 % of the mechanics' hours. Half of the parts are on the
shelf, one machine in eight stands at a ranch, one task in eleven has a legal limit. All invented;
rates and shares are common practice.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from random import Random
from typing import Any

from tests.benchmarks.plan_instances import WEIGHTS, Row, plain_machine, plain_mechanic, plain_task

SETUPS = [
    {"id": "lift", "hours": 0.4, "cost": 18.0},
    {"id": "drain", "hours": 0.3, "cost": 16.0},
    {"id": "read-out", "hours": 0.2, "cost": 9.0},
]
LISTS = ("yards", "sites", "mechanics", "parts", "machines", "tasks")
LOAD = 0.9
OWN_WORK = 0.35
"""Hours of set-ups that a task is reckoned to bring along, when work is measured against hours."""


@dataclass(frozen=True)
class Kind:
    """A kind of work: hours, skill, set-ups, share that needs a part, whether it keeps the machine
    from going out, days between services, money a day overdue, money of the job, legal limit.
    """

    name: str
    hours: float
    skill: str
    setups: tuple[str, ...]
    with_part: float
    blocks: bool
    interval: int
    overdue: float
    value: float
    legal: bool = False


KINDS = (
    Kind("oil", 1.25, "general", ("drain", "lift"), 0.9, True, 60, 18, 110),
    Kind("air", 0.5, "general", (), 0.8, False, 45, 6, 45),
    Kind("grease", 0.5, "general", ("lift",), 0.1, False, 20, 5, 35),
    Kind("hydraulics", 1.5, "hydraulic", ("drain",), 0.9, True, 180, 22, 240),
    Kind("coolant", 1.0, "general", ("drain",), 0.6, False, 365, 10, 130),
    Kind("tyres", 1.5, "general", ("lift",), 0.3, True, 120, 15, 180),
    Kind("brakes", 2.0, "general", ("lift",), 0.5, True, 180, 30, 260),
    Kind("battery", 0.75, "electrical", (), 0.3, False, 120, 8, 70),
    Kind("controls", 1.25, "electrical", ("read-out",), 0.1, True, 180, 16, 120),
    Kind("inspection", 2.0, "inspector", ("lift", "read-out"), 0.1, True, 180, 60, 220, legal=True),
    Kind("year", 3.5, "hydraulic", ("drain", "lift", "read-out"), 0.9, True, 365, 35, 420),
)


@dataclass(frozen=True)
class Size:
    """So many yards with so many machines and mechanics each, over so many days."""

    yards: int
    machines: int
    mechanics: Callable[[int], int]
    days: int = 28


SIZES = {
    "S": Size(1, 20, lambda y: 1, 14),
    "M": Size(1, 200, lambda y: 3),
    "400": Size(1, 400, lambda y: 6),
    "L": Size(10, 100, lambda y: 2 + y % 2),
    "XL": Size(100, 100, lambda y: 2 + y % 2),
}


def shop(size: str, seed: int, days: int | None = None) -> Row:
    """Return the instance of a size and a seed, over the size's own days or others."""
    what, rng = SIZES[size], Random(f"{size}-{seed}")
    what = what if days is None else replace(what, days=days)
    made: Row = {"format": "shop-plan-1", "name": f"{size}-{seed}", "horizon_days": what.days}
    made |= {"frozen_days": 0, "weights": dict(WEIGHTS), "setups": SETUPS}
    made |= {name: [] for name in LISTS}
    for y in range(what.yards):
        yard = _Yard(f"y{y}", what.machines, what.mechanics(y), what.days, rng).lists()
        for name in LISTS:
            made[name] += yard[name]
    return made


class _Yard:
    """One yard in the making. The draws come in a fixed order, so a seed names an instance."""

    def __init__(self, name: str, machines: int, mechanics: int, days: int, rng: Random) -> None:
        self.name, self.days, self.rng = name, days, rng
        self.closed = [day for day in range(days) if day % 7 in (5, 6)]
        if days > 14 and rng.random() < 0.5:
            self.closed.append(rng.choice([d for d in range(3, days) if d not in self.closed]))
        self.crew = [self.mechanic(n) for n in range(mechanics)]
        self.sites = [self.site(n) for n in range(2)]
        self.fleet = [self.machine(n) for n in range(machines)]
        self.bays = max(2, round(1.7 * mechanics))
        self.tasks: list[Row] = []
        self.wanted: dict[str, int] = {}

    def lists(self) -> dict[str, list[Row]]:
        self.draw_work()
        self.keep_possible_limits()
        home = {"id": self.name, "bays": self.bays, "closed_days": sorted(self.closed)}
        parts = [self.part(name, wanted) for name, wanted in self.wanted.items()]
        rows = ([home], self.sites, self.crew, parts, self.fleet, self.tasks)
        return dict(zip(LISTS, rows, strict=True))

    def mechanic(self, n: int) -> Row:
        skills = {"general"}
        if n == 0:
            skills |= {"hydraulic", "electrical", "inspector"}
        else:
            skills |= (
                {"hydraulic"} if n == 1 else {"electrical", "inspector"} if n % 2 == 0 else set()
            )
        hours = [self.hours(day) for day in range(self.days)]
        row = plain_mechanic(f"{self.name}-w{n}", hours, yard=self.name, skills=sorted(skills))
        return row | {"overtime_limit_hours": 2.0, "overtime_cost_per_hour": 66.0}

    def hours(self, day: int) -> float:
        if day in self.closed or self.rng.random() < 0.03:
            return 0.0
        return self.rng.choice([8.0, 8.0, 8.0, 6.0])

    def site(self, n: int) -> Row:
        hours, cost = self.rng.choice([1.0, 1.5, 2.0]), self.rng.choice([60.0, 90.0, 120.0])
        name = f"{self.name}-r{n}"
        return {"id": name, "yard": self.name, "travel_hours": hours, "trip_cost": cost}

    def machine(self, n: int) -> Row:
        rng, name = self.rng, f"{self.name}-m{n}"
        rate, usual = rng.choice([60.0, 90.0, 120.0, 180.0, 260.0, 350.0]), rng.uniform(0.35, 0.75)
        weekly = [1.25 if day % 7 in (4, 5, 6) else 0.9 for day in range(self.days)]
        row = plain_machine(name, self.days, yard=self.name, day_rate=rate)
        row["demand"] = [round(min(1.0, usual * f), 3) for f in weekly]
        row["bookings"] = self.bookings(f"{self.name}-b{n}", rate)
        remote = rng.random() < 0.12
        row["site"] = rng.choice(self.sites)["id"] if remote else None
        return row | {"visit_hours": 0.0, "visit_cost": 10.0} if remote else row | AT_YARD

    def bookings(self, name: str, rate: float) -> list[Row]:
        rng, found = self.rng, []
        day = rng.randint(-4, 12)
        while day < self.days and rng.random() < 0.6:
            length = rng.choice([1, 2, 3, 3, 5, 7])
            if day + length > 0:
                last = min(day + length - 1, self.days + 10)
                row = {"id": f"{name}-{len(found)}", "first_day": day, "last_day": last}
                found.append(row | {"value": round(rate * length, 2)})
            day += length + rng.randint(2, 12)
        return found

    def draw_work(self) -> None:
        room, asked = LOAD * sum(sum(m["hours"]) for m in self.crew), 0.0
        order = list(range(len(self.fleet)))
        self.rng.shuffle(order)
        for n in order:
            if asked >= room:
                break
            count = self.rng.choice([1, 1, 2, 2, 3, 4])
            centre = self.rng.uniform(-3, self.days + 4)
            for kind in self.rng.sample(KINDS, count):
                self.tasks.append(self.task(n, kind, centre))
                asked += self.tasks[-1]["hours"] + OWN_WORK
            asked += 0.5

    def task(self, n: int, kind: Kind, centre: float) -> Row:
        rng = self.rng
        p50 = centre + rng.gauss(0, 5)
        if kind.legal:
            p50 = max(p50, 4)
        width = rng.uniform(0.5, 1) * max(1.0, 0.06 * kind.interval) if p50 > 0 else 1.0
        width = min(width, 9)
        hours = round(kind.hours * rng.choice([0.8, 1, 1, 1.2]) * 20) / 20
        name, machine = f"{self.name}-t{len(self.tasks)}", self.fleet[n]["id"]
        row = plain_task(name, machine, hours, p50, skill=kind.skill, setups=list(kind.setups))
        if rng.random() < kind.with_part:
            part = f"{self.name}-p-{kind.name}-{n % 3}"
            self.wanted[part] = self.wanted.get(part, 0) + 1
            row["parts"] = [{"part": part, "quantity": 1}]
        if kind.legal:
            row["limit_day"] = max(4, int(p50 + rng.randint(2, 8)))
        row["overdue_cost_per_day"] = kind.overdue * rng.choice([0.7, 1, 1.3])
        row["waste_cost_per_day"] = round(kind.value / kind.interval, 3)
        points = {"p10": p50 - width, "p50": p50, "p90": p50 + 1.4 * width}
        row["due"] = {point: round(day, 2) for point, day in points.items()}
        return row | {"blocks_rental": kind.blocks}

    def keep_possible_limits(self) -> None:
        """Take away limits before which the machine cannot come in; others wait for no part."""
        machines = {m["id"]: m for m in self.fleet}
        for task in self.tasks:
            limit = task["limit_day"]
            if limit is None:
                continue
            days = range(2, min(self.days, limit + 1))
            if sum(self.possible(machines[task["machine"]], task["skill"], d) for d in days) < 2:
                task["limit_day"] = None
            else:
                task["parts"] = []

    def possible(self, machine: Row, skill: str, day: int) -> bool:
        out = any(b["first_day"] <= day <= b["last_day"] for b in machine["bookings"])
        able = any(skill in m["skills"] and m["hours"][day] >= 6 for m in self.crew)
        return day not in self.closed and able and not out

    def part(self, name: str, wanted: int) -> Row:
        there, arrivals = self.rng.randint(0, wanted), []
        if there < wanted:
            arrivals = [{"day": self.rng.randint(3, 12), "quantity": wanted - there}]
        return {"id": name, "yard": self.name, "on_hand": there, "arrivals": arrivals}


AT_YARD: dict[str, Any] = {"visit_hours": 0.5, "visit_cost": 32.0}
