"""Check a shop-day plan against its instance and price it, sharing no code with the planner.

Works on the plain dictionaries of the format ``shop-plan-1`` and nothing else.  A fault is a
sentence that begins with the rule it breaks.
"""

from collections import Counter, defaultdict
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from tests.plan_visits import HOUR_SLACK, Visit, visit_alone, visits_of


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
        self.last: dict[str, int] = {}
        self.visits: list[Visit] = []

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
        known = [a for a in self.plan["assignments"] if a["task"] in self.spots]
        self.visits = visits_of(self.instance, known)
        self.last = {t["id"]: visit.last for visit in self.visits for t in visit.tasks}
        for a in known:
            if a.get("last_day", self.last[a["task"]]) != self.last[a["task"]]:
                self.fault("last day", f"{a['task']} ends on day {self.last[a['task']]}")

    def stood_frozen(self, task: dict[str, Any]) -> bool:
        return bool(task["previous"]) and task["previous"]["day"] < self.frozen

    def check_place(self, task: dict[str, Any], day: int, mechanic: str) -> None:
        machine, who = self.machines[task["machine"]], self.mechanics[mechanic]
        name, pin, before = task["id"], task["pin"], task["previous"]
        if who["yard"] != machine["yard"] or task["skill"] not in who["skills"]:
            self.fault("skill", f"{mechanic} cannot do {name}")
        if day in self.yards[machine["yard"]]["closed_days"]:
            self.fault("closed", f"{name} on day {day}")
        if machine["site"] and day in (self.sites[machine["site"]].get("closed_days") or []):
            self.fault("closed", f"{name} on day {day}, when the ranch is shut")
        if task["limit_day"] is not None and self.last[name] > task["limit_day"]:
            self.fault("limit", f"{name} on day {self.last[name]}, after {task['limit_day']}")
        if pin and (pin["day"] != day or (pin["mechanic"] or mechanic) != mechanic):
            self.fault("pin", f"{name} is not at its pin")
        if self.stood_frozen(task):
            if (before["day"], before["mechanic"]) != (day, mechanic):
                self.fault("frozen", f"{name} left the frozen days")
        elif day < self.frozen and not pin:
            self.fault("frozen", f"{name} entered the frozen days")
        elif not pin and day < (task.get("not_before") or 0):
            self.fault("put off", f"{name} on day {day}, before {task['not_before']}")

    def check_deferred(self, task: dict[str, Any]) -> None:
        limit = task["limit_day"]
        if limit is not None and limit < self.horizon:
            self.fault("limit", f"{task['id']} is deferred past {limit}")
        if task["pin"]:
            self.fault("pin", f"{task['id']} is pinned and deferred")
        if self.stood_frozen(task):
            self.fault("frozen", f"{task['id']} stood in the frozen days and is deferred")

    def share(self, hours: float) -> float:
        return 0.5 if hours <= self.weights["half_day_hours"] + HOUR_SLACK else 1.0

    def check_visits(self) -> None:
        self.check_machines()
        hours_of, bays, trips = Counter(), Counter(), set()
        for visit in self.visits:
            self.check_crew(visit)
            crew = [(day, visit.mechanic, hours) for day, hours in visit.work.items()]
            if visit.second:
                crew.append((visit.first, visit.second, visit.second_hours))
            for day, who, hours in crew:
                hours_of[who, day] += hours
                if visit.machine["site"]:
                    trips.add((visit.machine["site"], day, who))
            self.report.cost["visit"] += visit.machine["visit_cost"]
            self.report.cost["setup"] += visit.setup_cost
            self.price_stay(visit, bays)
        for site, day, mechanic in trips:
            hours_of[mechanic, day] += self.sites[site]["travel_hours"]
            self.report.cost["trip"] += self.sites[site]["trip_cost"]
        self.check_hours(hours_of)
        self.check_bays(bays)

    def check_machines(self) -> None:
        """No machine is in two visits at once, and tasks keep their order."""
        by_machine = defaultdict(list)
        for visit in self.visits:
            by_machine[visit.machine["id"]].append(visit)
        for name, visits in by_machine.items():
            visits.sort(key=lambda v: v.first)
            for one, next_one in pairwise(visits):
                if one.last >= next_one.first:
                    self.fault("one visit", f"{name} is in two on day {next_one.first}")
        at = {t["id"]: visit for visit in self.visits for t in visit.tasks}
        for task in self.tasks.values():
            self.check_order(task, at)

    def check_order(self, task: dict[str, Any], at: dict[str, Visit]) -> None:
        mine = at.get(task["id"])
        for other in task.get("after") or []:
            before = at.get(other)
            if mine and not (before and (before is mine or before.last < mine.first)):
                self.fault("after", f"{task['id']} is not after {other}")
        for other in task.get("apart") or []:
            if mine and at.get(other) is mine:
                self.fault("apart", f"{task['id']} shares a visit with {other}")

    def check_crew(self, visit: Visit) -> None:
        machine = visit.machine
        if len(visit.mechanics) > 1:
            self.fault("one mechanic", visit.name)
        if not visit.ended:
            self.fault("several days", f"{visit.name} does not end, or begins on a day off")
        for booking in machine["bookings"]:
            if booking["first_day"] <= visit.last and booking["last_day"] >= visit.first:
                self.fault("out", f"{visit.name} touches {booking['id']}")
        needs = [t["second"] for t in visit.tasks if t.get("second")]
        if not needs:
            return
        who = self.mechanics.get(visit.second)
        if who is None or len(visit.seconds) > 1:
            self.fault("second", f"{visit.name} needs one second person")
        elif visit.second in visit.mechanics or who["yard"] != machine["yard"]:
            self.fault("second", f"{visit.second} cannot be the second at {visit.name}")
        elif any(need["skill"] not in who["skills"] for need in needs):
            self.fault("second", f"{visit.second} lacks a skill at {visit.name}")

    def price_stay(self, visit: Visit, bays: Counter) -> None:
        """Downtime and bays: one day's share, or every day from the first to the last."""
        share = self.share(visit.hours) if visit.first == visit.last else 1.0
        for day in range(visit.first, visit.last + 1):
            lost = share * visit.machine["day_rate"] * visit.machine["demand"][day]
            self.report.cost["downtime"] += lost
            if not visit.machine["site"]:
                bays[visit.machine["yard"], day] += share

    def check_bays(self, bays: Counter) -> None:
        for (yard, day), used in bays.items():
            row = self.yards[yard]
            loaned = (row.get("loaned_bays") or [0] * self.horizon)[day]
            shut = day in row["closed_days"]
            if not shut and used > max(0.0, row["bays"] + loaned) + HOUR_SLACK:
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
                come = sum(a["quantity"] for a in part["arrivals"] if self.surely(a) <= day)
                if used > part["on_hand"] + come + HOUR_SLACK:
                    self.fault("parts", f"{used} of {part['id']} used by day {day}")

    def surely(self, arrival: dict[str, Any]) -> int:
        """The day on which an arrival is there even if it slips."""
        latest = arrival.get("latest_day")
        return arrival["day"] if latest is None else max(arrival["day"], latest)

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
        late = task["id"] not in self.last or self.last[task["id"]] >= booking["first_day"]
        return late and task["due"]["p50"] < booking["last_day"] + 1

    def price_tasks(self) -> None:
        cost, weights = self.report.cost, self.weights
        for name, task in self.tasks.items():
            day, mechanic = self.spots.get(name, (self.horizon + weights["deferred_days"], None))
            late, early = late_and_early(task["due"], self.last.get(name, day))
            cost["overdue"] += task["overdue_cost_per_day"] * late
            cost["waste"] += task["waste_cost_per_day"] * early
            if mechanic is None:
                machine = self.machines[task["machine"]]
                hours, setup_money = visit_alone(self.setups, machine, [task])
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
