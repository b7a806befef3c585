"""What the simple planners share: a shop's rules and prices, and what is still free in it.

Works on the plain dictionaries of the format ``shop-plan-1`` and shares no code with the planner.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from tests.plan_check import late_and_early

SLACK = 1e-9

Row = dict[str, Any]


@dataclass(frozen=True)
class Visit:
    """Some tasks of one machine on one day with one mechanic."""

    machine: str
    tasks: tuple[str, ...]
    day: int
    mechanic: str


class Shop:
    """An instance by id, with the price of each task on each day."""

    def __init__(self, case: Row) -> None:
        self.case, self.days, self.weights = case, case["horizon_days"], case["weights"]
        for name in ("yards", "sites", "mechanics", "parts", "setups", "machines", "tasks"):
            setattr(self, name, {row["id"]: row for row in case[name]})
        self.last = self.days + self.weights["deferred_days"]
        self.of_machine, self.crew = defaultdict(list), defaultdict(list)
        for task in case["tasks"]:
            self.of_machine[task["machine"]].append(task["id"])
        for mechanic in case["mechanics"]:
            self.crew[mechanic["yard"]].append(mechanic["id"])
        self.timing = {
            t["id"]: [self._timing(t, day) for day in [*range(self.days), self.last]]
            for t in case["tasks"]
        }
        self.open = {m["id"]: self._open_days(m) for m in case["machines"]}

    def _timing(self, task: Row, day: float) -> float:
        late, early = late_and_early(task["due"], day)
        return task["overdue_cost_per_day"] * late + task["waste_cost_per_day"] * early

    def _open_days(self, machine: Row) -> set[int]:
        out = {
            d for b in machine["bookings"] for d in range(b["first_day"], b["last_day"] + 1)
        } | set(self.yards[machine["yard"]]["closed_days"])
        return set(range(self.case["frozen_days"], self.days)) - out

    def must(self, name: str) -> bool:
        """Tell whether a task has a limit inside the horizon."""
        limit = self.tasks[name]["limit_day"]
        return limit is not None and limit < self.days

    def change(self, name: str, day: int | None, mechanic: str | None) -> float:
        """Price a place against yesterday's."""
        before = self.tasks[name]["previous"]
        if not before or (before["day"], before["mechanic"]) == (day, mechanic):
            return 0.0
        share = self.weights["mechanic_change_share"] if before["day"] == day else 1.0
        return self.weights["change_cost"] * share

    def hours(self, machine: str, tasks: Iterable[str]) -> float:
        """Add up the hours of a visit, each set-up once."""
        rows = [self.tasks[t] for t in tasks]
        setups = {s for row in rows for s in row["setups"]}
        return self.machines[machine]["visit_hours"] + sum(
            [*(r["hours"] for r in rows), *(self.setups[s]["hours"] for s in setups)]
        )

    def share(self, hours: float) -> float:
        """Half a day or a whole one."""
        return 0.5 if hours <= self.weights["half_day_hours"] + SLACK else 1.0

    def visit_money(self, machine: str, tasks: Iterable[str], day: int | None) -> float:
        """Price what a visit costs beside its hours; `day` None stands for a mean day."""
        row, tasks = self.machines[machine], list(tasks)
        setups = {s for t in tasks for s in self.tasks[t]["setups"]}
        demand = row["demand"]
        chance = sum(demand) / len(demand) if day is None else demand[day]
        lost = self.share(self.hours(machine, tasks)) * row["day_rate"] * chance
        return row["visit_cost"] + sum(self.setups[s]["cost"] for s in setups) + lost

    def wait_money(self, name: str) -> float:
        """Price putting a task off past the horizon, bookings left out."""
        share = self.weights["deferred_visit_share"]
        alone = self.visit_money(self.tasks[name]["machine"], [name], None)
        return self.timing[name][-1] + self.change(name, None, None) + share * alone

    def keeps_in(self, name: str, booking: Row, day: int | None) -> bool:
        """Tell whether a task done on `day` (None: put off) makes the machine miss a booking."""
        task = self.tasks[name]
        if not task["blocks_rental"] or booking["first_day"] <= 0:
            return False
        late = day is None or day >= booking["first_day"]
        return late and task["due"]["p50"] < booking["last_day"] + 1

    def lost(self, machine: str, days: dict[str, int]) -> list[str]:
        """Return the bookings that a machine misses when its tasks are done on `days`."""
        return [
            b["id"]
            for b in self.machines[machine]["bookings"]
            if any(self.keeps_in(t, b, days.get(t)) for t in self.of_machine[machine])
        ]

    def lost_money(self, machine: str, days: dict[str, int]) -> float:
        """Price the bookings that a machine misses."""
        value = {b["id"]: b["value"] for b in self.machines[machine]["bookings"]}
        goodwill = self.weights["goodwill_cost"]
        return sum(value[b] + goodwill for b in self.lost(machine, days))


@dataclass
class Room:
    """A plan as it grows: what it has taken of hours, bays and stock."""

    shop: Shop
    hours: Counter = field(default_factory=Counter)
    bays: Counter = field(default_factory=Counter)
    drawn: dict[str, Counter] = field(default_factory=lambda: defaultdict(Counter))
    trips: set[tuple[str, int, str]] = field(default_factory=set)
    places: dict[str, tuple[int, str]] = field(default_factory=dict)
    visited: set[tuple[str, int]] = field(default_factory=set)

    def days_of(self, machine: str) -> dict[str, int]:
        """Return the days of a machine's planned tasks."""
        return {t: self.places[t][0] for t in self.shop.of_machine[machine] if t in self.places}

    def work(self, visit: Visit) -> float:
        """Return the hours that a visit adds to its mechanic's day."""
        shop, site = self.shop, self.shop.machines[visit.machine]["site"]
        hours = shop.hours(visit.machine, visit.tasks)
        if site and (site, visit.day, visit.mechanic) not in self.trips:
            hours += shop.sites[site]["travel_hours"]
        return hours

    def overtime(self, visit: Visit) -> float | None:
        """Return the money for hours beyond the regular ones, or None where they do not fit."""
        who, day = self.shop.mechanics[visit.mechanic], visit.day
        there, before = who["hours"][day], self.hours[visit.mechanic, day]
        after = before + self.work(visit)
        if there <= 0 or after > there + who["overtime_limit_hours"] + SLACK:
            return None
        over = max(0.0, after - there) - max(0.0, before - there)
        return over * who["overtime_cost_per_hour"]

    def allowed(self, visit: Visit) -> bool:
        """Tell whether rules, bays and stock let the visit be; hours are looked at apart."""
        shop, key = self.shop, (visit.machine, visit.day)
        machine = shop.machines[visit.machine]
        tasks = [shop.tasks[t] for t in visit.tasks]
        if key in self.visited or visit.day not in shop.open[visit.machine]:
            return False
        if not {t["skill"] for t in tasks} <= set(shop.mechanics[visit.mechanic]["skills"]):
            return False
        if any(t["limit_day"] is not None and visit.day > t["limit_day"] for t in tasks):
            return False
        share = shop.share(shop.hours(visit.machine, visit.tasks))
        free = shop.yards[machine["yard"]]["bays"] - self.bays[machine["yard"], visit.day]
        return (bool(machine["site"]) or share <= free + SLACK) and self.in_stock(tasks, visit.day)

    def in_stock(self, tasks: list[Row], day: int) -> bool:
        """Tell whether the parts are there on the day and still there for all later draws."""
        need: Counter = Counter()
        for row in (row for task in tasks for row in task["parts"]):
            need[row["part"]] += row["quantity"]
        return all(self._enough(part, quantity, day) for part, quantity in need.items())

    def _enough(self, part: str, quantity: float, day: int) -> bool:
        row, drawn = self.shop.parts[part], self.drawn[part]
        return all(
            sum(q for d, q in drawn.items() if d <= end) + quantity
            <= row["on_hand"] + sum(a["quantity"] for a in row["arrivals"] if a["day"] <= end)
            for end in {day, *(d for d in drawn if d > day)}
        )

    def put(self, visit: Visit) -> None:
        """Add a visit."""
        shop, machine = self.shop, self.shop.machines[visit.machine]
        hours = shop.hours(visit.machine, visit.tasks)
        self.hours[visit.mechanic, visit.day] += self.work(visit)
        if machine["site"]:
            self.trips.add((machine["site"], visit.day, visit.mechanic))
        else:
            self.bays[machine["yard"], visit.day] += shop.share(hours)
        for name in visit.tasks:
            self.places[name] = (visit.day, visit.mechanic)
            for row in shop.tasks[name]["parts"]:
                self.drawn[row["part"]][visit.day] += row["quantity"]
        self.visited.add((visit.machine, visit.day))

    def plan(self) -> Row:
        """Return the plan in the format; what has no place is put off."""
        shop = self.shop
        return {
            "assignments": [
                {"task": name, "day": day, "mechanic": mechanic}
                for name, (day, mechanic) in self.places.items()
            ],
            "deferred": [name for name in shop.tasks if name not in self.places],
            "blocked_bookings": [b for m in shop.machines for b in shop.lost(m, self.days_of(m))],
        }
