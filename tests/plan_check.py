"""Check a shop-day plan against its instance and price it, sharing no code with the planner.

Works on the plain dictionaries of the format ``shop-plan-1`` and nothing else.  A fault is a
sentence that begins with the rule it breaks.
"""

from collections import Counter, defaultdict
from dataclasses import dataclass, field
from typing import Any

HOUR_SLACK = 1e-6


@dataclass
class Report:
    faults: list[str] = field(default_factory=list)
    cost: Counter = field(default_factory=Counter)

    @property
    def total(self) -> float:
        return sum(self.cost.values())

    def rules(self) -> set[str]:
        return {fault.split(":")[0] for fault in self.faults}


def late_and_early(due: dict[str, float], day: float) -> tuple[float, float]:
    """Mean days late and early: each of four uniform pieces by itself, weighted by its mass."""
    p10, p50, p90 = due["p10"], due["p50"], due["p90"]
    ends = [p10 - (p50 - p10) / 4, p10, p50, p90, p90 + (p90 - p50) / 4]
    late = mean = 0.0
    for a, b, mass in zip(ends, ends[1:], (0.1, 0.4, 0.4, 0.1), strict=False):
        mean += mass * (a + b) / 2
        if day >= b:
            late += mass * (day - (a + b) / 2)
        elif day > a:
            late += mass * (day - a) ** 2 / (2 * (b - a))
    return late, max(0.0, late + mean - day)


class Checker:
    def __init__(self, instance: dict[str, Any], plan: dict[str, Any]) -> None:
        self.instance, self.plan, self.report = instance, plan, Report()
        self.horizon, self.frozen = instance["horizon_days"], instance["frozen_days"]
        self.weights = instance["weights"]
        for name in ("yards", "sites", "mechanics", "parts", "setups", "machines", "tasks"):
            setattr(self, name, {row["id"]: row for row in instance[name]})
        self.spots: dict[str, tuple[int, str]] = {}

    def fault(self, rule: str, text: str) -> None:
        self.report.faults.append(f"{rule}: {text}")

    def run(self) -> Report:
        self.read_places()
        for name, (day, mechanic) in self.spots.items():
            self.check_place(self.tasks[name], day, mechanic)
        for name in self.tasks.keys() - self.spots.keys():
            self.check_deferred(self.tasks[name])
        self.check_visits()
        self.check_parts()
        self.check_bookings()
        self.price_tasks()
        return self.report

    def read_places(self) -> None:
        seen = Counter(a["task"] for a in self.plan["assignments"]) + Counter(self.plan["deferred"])
        for name in self.tasks.keys() | seen.keys():
            if seen[name] != 1 or name not in self.tasks:
                self.fault("once", f"{name} stands {seen[name]} times in the plan")
        for a in self.plan["assignments"]:
            if not (isinstance(a["day"], int) and 0 <= a["day"] < self.horizon):
                self.fault("horizon", f"{a['task']} is on day {a['day']}")
            elif a["task"] in self.tasks and a["mechanic"] in self.mechanics:
                self.spots[a["task"]] = (a["day"], a["mechanic"])
            else:
                self.fault("unknown", f"{a['task']} with {a['mechanic']}")

    def stood_frozen(self, task: dict[str, Any]) -> bool:
        return bool(task["previous"]) and task["previous"]["day"] < self.frozen

    def check_place(self, task: dict[str, Any], day: int, mechanic: str) -> None:
        machine, who = self.machines[task["machine"]], self.mechanics[mechanic]
        name, pin, before = task["id"], task["pin"], task["previous"]
        if who["yard"] != machine["yard"] or task["skill"] not in who["skills"]:
            self.fault("skill", f"{mechanic} cannot do {name}")
        if day in self.yards[machine["yard"]]["closed_days"]:
            self.fault("closed", f"{name} on day {day}")
        if any(b["first_day"] <= day <= b["last_day"] for b in machine["bookings"]):
            self.fault("out", f"{name} on day {day}, when the machine is out")
        if task["limit_day"] is not None and day > task["limit_day"]:
            self.fault("limit", f"{name} on day {day}, after {task['limit_day']}")
        if pin and (pin["day"] != day or (pin["mechanic"] or mechanic) != mechanic):
            self.fault("pin", f"{name} is not at its pin")
        if self.stood_frozen(task):
            if (before["day"], before["mechanic"]) != (day, mechanic):
                self.fault("frozen", f"{name} left the frozen days")
        elif day < self.frozen and not pin:
            self.fault("frozen", f"{name} entered the frozen days")

    def check_deferred(self, task: dict[str, Any]) -> None:
        limit = task["limit_day"]
        if limit is not None and limit < self.horizon:
            self.fault("limit", f"{task['id']} is deferred past {limit}")
        if task["pin"]:
            self.fault("pin", f"{task['id']} is pinned and deferred")
        if self.stood_frozen(task):
            self.fault("frozen", f"{task['id']} stood in the frozen days and is deferred")

    def visit(self, machine: dict[str, Any], tasks: list[dict[str, Any]]) -> tuple[float, float]:
        """Hours and set-up money of one visit."""
        setups = [self.setups[s] for s in {s for t in tasks for s in t["setups"]}]
        hours = machine["visit_hours"] + sum(x["hours"] for x in [*setups, *tasks])
        return hours, sum(s["cost"] for s in setups)

    def share(self, hours: float) -> float:
        return 0.5 if hours <= self.weights["half_day_hours"] + HOUR_SLACK else 1.0

    def check_visits(self) -> None:
        groups, crews = defaultdict(list), defaultdict(set)
        for name, (day, mechanic) in self.spots.items():
            groups[self.tasks[name]["machine"], day].append(self.tasks[name])
            crews[self.tasks[name]["machine"], day].add(mechanic)
        hours_of, bays, trips = Counter(), Counter(), set()
        for (key, day), tasks in groups.items():
            machine, (mechanic, *more) = self.machines[key], sorted(crews[key, day])
            if more:
                self.fault("one mechanic", f"{key} on day {day}")
            hours, setup_money = self.visit(machine, tasks)
            hours_of[mechanic, day] += hours
            if machine["site"]:
                trips.add((machine["site"], day, mechanic))
            else:
                bays[machine["yard"], day] += self.share(hours)
            self.report.cost["visit"] += machine["visit_cost"]
            self.report.cost["setup"] += setup_money
            lost = self.share(hours) * machine["day_rate"] * machine["demand"][day]
            self.report.cost["downtime"] += lost
        for site, day, mechanic in trips:
            hours_of[mechanic, day] += self.sites[site]["travel_hours"]
            self.report.cost["trip"] += self.sites[site]["trip_cost"]
        self.check_hours(hours_of)
        for (yard, day), used in bays.items():
            if used > self.yards[yard]["bays"] + HOUR_SLACK:
                self.fault("bays", f"{used} on day {day} at {yard}")

    def check_hours(self, hours_of: Counter) -> None:
        for (mechanic, day), hours in hours_of.items():
            who = self.mechanics[mechanic]
            regular = who["hours"][day]
            over = max(0.0, hours - regular)
            extra = (who.get("extra_overtime_hours") or [0.0] * (day + 1))[day]
            limit = who["overtime_limit_hours"] + extra if regular else 0.0
            if over > limit + HOUR_SLACK:
                self.fault("hours", f"{mechanic} works {hours:.2f} h on day {day}")
            self.report.cost["overtime"] += over * who["overtime_cost_per_hour"]

    def check_parts(self) -> None:
        draws = defaultdict(list)
        for name, (day, _) in self.spots.items():
            for row in self.tasks[name]["parts"]:
                draws[row["part"]].append((day, row["quantity"]))
        for part in self.parts.values():
            drawn = draws[part["id"]]
            for day, _ in drawn:
                used = sum(quantity for when, quantity in drawn if when <= day)
                come = sum(a["quantity"] for a in part["arrivals"] if a["day"] <= day)
                if used > part["on_hand"] + come + HOUR_SLACK:
                    self.fault("parts", f"{used} of {part['id']} used by day {day}")

    def check_bookings(self) -> None:
        lost, work = set(self.plan["blocked_bookings"]), defaultdict(list)
        for task in self.tasks.values():
            work[task["machine"]].append(task)
        for machine in self.machines.values():
            tasks = work[machine["id"]]
            for booking in machine["bookings"]:
                if booking["id"] in lost:
                    lost.discard(booking["id"])
                    value = booking["value"] + self.weights["goodwill_cost"]
                    self.report.cost["blocked_booking"] += value
                elif any(self.keeps_in(t, booking) for t in tasks):
                    self.fault("blocked", f"{booking['id']} goes out with work due")
        for name in lost:
            self.fault("unknown", f"booking {name}")

    def keeps_in(self, task: dict[str, Any], booking: dict[str, Any]) -> bool:
        if not task["blocks_rental"] or booking["first_day"] <= 0:
            return False
        late = task["id"] not in self.spots or self.spots[task["id"]][0] >= booking["first_day"]
        return late and task["due"]["p50"] < booking["last_day"] + 1

    def price_tasks(self) -> None:
        cost, weights = self.report.cost, self.weights
        for name, task in self.tasks.items():
            day, mechanic = self.spots.get(name, (self.horizon + weights["deferred_days"], None))
            late, early = late_and_early(task["due"], day)
            cost["overdue"] += task["overdue_cost_per_day"] * late
            cost["waste"] += task["waste_cost_per_day"] * early
            if mechanic is None:
                machine = self.machines[task["machine"]]
                hours, setup_money = self.visit(machine, [task])
                idle = machine["day_rate"] * sum(machine["demand"]) / self.horizon
                alone = machine["visit_cost"] + setup_money + self.share(hours) * idle
                cost["deferral"] += weights["deferred_visit_share"] * alone
            before = task["previous"]
            if before and before["day"] != (day if mechanic else None):
                cost["change"] += weights["change_cost"]
            elif before and before["mechanic"] != mechanic:
                cost["change"] += weights["change_cost"] * weights["mechanic_change_share"]


def check(instance: dict[str, Any], plan: dict[str, Any]) -> Report:
    """Return every fault of the plan and its cost by term."""
    return Checker(instance, plan).run()
