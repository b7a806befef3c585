"""The plain model of a shop's plan: one yes or no for each task, day and mechanic.

This is how the problem is usually first written down: linked choices for visits, set-ups, whole
days, trips and bookings beside the tasks' own, all given to CP-SAT at once, starting from the
greedy plan. Money is in whole cents, rounded down; time is in whole minutes, work rounded up, so
that its plans fit. The bound holds for shops whose hours are whole minutes, as the benchmark's.
"""

import math
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass

from ortools.sat.python import cp_model

from tests.benchmarks.plan_room import Row, Shop
from tests.benchmarks.plan_simple import greedy_grouping

Key = tuple
"""What a choice is about, such as ("visit", machine, day, mechanic)."""


@dataclass(frozen=True)
class Solved:
    """A plan and the solver's own bound on the cost of any."""

    plan: Row
    bound: float


def cents(money: float) -> int:
    """Round money down to whole cents, so that the bound stays one."""
    return math.floor(100 * money + 1e-6)


def minutes(hours: float) -> int:
    """Round hours up to whole minutes."""
    return math.ceil(60 * hours - 1e-6)


class PlainModel:
    """The model of one shop; `choices` by key, and what the greedy plan says of each."""

    def __init__(self, shop: Shop) -> None:
        self.shop, self.model = shop, cp_model.CpModel()
        self.choices: dict[Key, cp_model.IntVar] = {}
        self.price: list[tuple[cp_model.IntVar, int]] = []
        self.load: dict[tuple, list] = defaultdict(list)
        for machine in shop.of_machine:
            self.add_machine(machine)
        self.add_hours()
        self.add_bays()
        self.add_stock()
        self.model.minimize(sum(money * choice for choice, money in self.price))

    def choice(self, *key: object, money: float = 0.0) -> cp_model.IntVar:
        """Return the yes-or-no of a key, made on first use at a price."""
        if key not in self.choices:
            made = self.choices[key] = self.model.new_bool_var("")
            self.price.append((made, cents(money)))
        return self.choices[key]

    def add_machine(self, machine: str) -> None:
        shop = self.shop
        places = {t: self.places(machine, t) for t in shop.of_machine[machine]}
        for name, spots in places.items():
            wait = self.choice("wait", name, money=shop.wait_money(name))
            self.model.add(sum(spots.values()) + wait == 1)
            if shop.must(name):
                self.model.add(wait == 0)
        for day, mechanic in sorted({spot for spots in places.values() for spot in spots}):
            here = {
                t: spots[day, mechanic] for t, spots in places.items() if (day, mechanic) in spots
            }
            self.add_visit(machine, day, mechanic, here)
        self.add_days(machine)
        self.add_bookings(machine, places)

    def places(self, machine: str, name: str) -> dict[tuple[int, str], cp_model.IntVar]:
        """Return a choice for each day and mechanic that a task may have."""
        shop, task = self.shop, self.shop.tasks[name]
        limit = shop.days if task["limit_day"] is None else task["limit_day"]
        able = [
            w
            for w in shop.crew[shop.machines[machine]["yard"]]
            if task["skill"] in shop.mechanics[w]["skills"]
        ]
        return {
            (day, w): self.choice(
                "task", name, day, w, money=shop.timing[name][day] + shop.change(name, day, w)
            )
            for day in sorted(shop.open[machine])
            for w in able
            if day <= limit and shop.mechanics[w]["hours"][day] > 0
        }

    def add_visit(self, machine: str, day: int, mechanic: str, here: Row) -> None:
        """Link the tasks on one day with one mechanic to their visit, its set-ups and its trip."""
        shop, row = self.shop, self.shop.machines[machine]
        visit = self.choice("visit", machine, day, mechanic, money=row["visit_cost"])
        work = [(visit, minutes(row["visit_hours"]))]
        for name, choice in here.items():
            self.model.add_implication(choice, visit)
            work.append((choice, minutes(shop.tasks[name]["hours"])))
        for setup in sorted({s for t in here for s in shop.tasks[t]["setups"]}):
            cost, hours = shop.setups[setup]["cost"], shop.setups[setup]["hours"]
            needed = self.choice("setup", machine, day, mechanic, setup, money=cost)
            work.append((needed, minutes(hours)))
            for name, choice in here.items():
                if setup in shop.tasks[name]["setups"]:
                    self.model.add_implication(choice, needed)
        self.load["hours", mechanic, day] += work
        self.load["machine", machine, day] += work
        self.load["visits", machine, day].append(visit)
        site = row["site"]
        if site:
            self.model.add_implication(visit, self.trip(site, day, mechanic))

    def trip(self, site: str, day: int, mechanic: str) -> cp_model.IntVar:
        key, row = ("trip", site, day, mechanic), self.shop.sites[site]
        new = key not in self.choices
        trip = self.choice(*key, money=row["trip_cost"])
        if new:
            self.load["hours", mechanic, day].append((trip, minutes(row["travel_hours"])))
        return trip

    def add_days(self, machine: str) -> None:
        """One visit a day, which takes half a bay, or a whole one if it is long."""
        shop, row = self.shop, self.shop.machines[machine]
        half = minutes(shop.weights["half_day_hours"])
        for day in sorted(shop.open[machine]):
            visits = self.load["visits", machine, day]
            if not visits:
                continue
            self.model.add_at_most_one(visits)
            lost = row["day_rate"] * row["demand"][day] / 2
            came = self.choice("came", machine, day, money=lost)
            whole = self.choice("whole", machine, day, money=lost)
            self.model.add(came == sum(visits))
            work = self.load["machine", machine, day]
            most = sum(m for _, m in work)
            self.model.add(sum(m * c for c, m in work) <= half + max(0, most - half) * whole)
            self.model.add_implication(whole, came)
            if not row["site"]:
                self.load["bays", row["yard"], day] += [came, whole]

    def add_bookings(self, machine: str, places: Row) -> None:
        shop = self.shop
        for booking in shop.machines[machine]["bookings"]:
            money = booking["value"] + shop.weights["goodwill_cost"]
            for name, spots in places.items():
                if shop.keeps_in(name, booking, None):
                    lost = self.choice("lost", booking["id"], money=money)
                    late = [c for (d, _), c in spots.items() if d >= booking["first_day"]]
                    self.model.add(sum(late) + self.choices["wait", name] <= lost)

    def add_hours(self) -> None:
        """Hours of each mechanic and day, with overtime in minutes at its price."""
        for key in [k for k in self.load if k[0] == "hours"]:
            _, mechanic, day = key
            who = self.shop.mechanics[mechanic]
            there, most = (
                math.floor(60 * who["hours"][day]),
                math.floor(60 * who["overtime_limit_hours"]),
            )
            over = self.model.new_int_var(0, most, "")
            self.choices["over", mechanic, day] = over
            self.price.append((over, cents(who["overtime_cost_per_hour"] / 60)))
            self.model.add(sum(m * c for c, m in self.load[key]) <= there + over)

    def add_bays(self) -> None:
        for kind, yard, day in [k for k in self.load if k[0] == "bays"]:
            bays = math.floor(2 * self.shop.yards[yard]["bays"])
            self.model.add(sum(self.load[kind, yard, day]) <= bays)

    def add_stock(self) -> None:
        draws = defaultdict(list)
        for key, choice in self.choices.items():
            if key[0] == "task":
                for row in self.shop.tasks[key[1]]["parts"]:
                    draws[row["part"]].append((key[2], choice, row["quantity"]))
        for part, drawn in draws.items():
            row = self.shop.parts[part]
            for end in {self.shop.days - 1, *(a["day"] - 1 for a in row["arrivals"])}:
                come = sum(a["quantity"] for a in row["arrivals"] if a["day"] <= end)
                used = sum(quantity * choice for day, choice, quantity in drawn if day <= end)
                self.model.add(used <= math.floor(row["on_hand"] + come))

    def hint(self, plan: Row) -> None:
        """Start from a plan, with a value for every choice."""
        shop = self.shop
        spots = {a["task"]: (a["day"], a["mechanic"]) for a in plan["assignments"]}
        keys = {("wait", name) for name in plan["deferred"]}
        keys |= {("lost", booking) for booking in plan["blocked_bookings"]}
        groups = defaultdict(list)
        for name, (day, mechanic) in spots.items():
            keys.add(("task", name, day, mechanic))
            groups[shop.tasks[name]["machine"], day, mechanic].append(name)
        for (machine, day, mechanic), names in groups.items():
            keys |= {("visit", machine, day, mechanic), ("came", machine, day)}
            keys |= {
                ("setup", machine, day, mechanic, s) for t in names for s in shop.tasks[t]["setups"]
            }
            if shop.share(shop.hours(machine, names)) == 1.0:
                keys.add(("whole", machine, day))
            if site := shop.machines[machine]["site"]:
                keys.add(("trip", site, day, mechanic))
        for key, choice in self.choices.items():
            if key[0] != "over":
                self.model.add_hint(choice, key in keys)
        self.hint_overtime(keys)

    def hint_overtime(self, keys: set[Key]) -> None:
        chosen = {choice.index for key, choice in self.choices.items() if key in keys}
        for key, work in self.load.items():
            if key[0] == "hours":
                who = self.shop.mechanics[key[1]]
                used = sum(m for choice, m in work if choice.index in chosen)
                over = max(0, used - math.floor(60 * who["hours"][key[2]]))
                self.model.add_hint(self.choices["over", key[1], key[2]], over)


def plain_model(case: Row, left: Callable[[], float], workers: int, seed: int = 0) -> Solved:
    """Return the best plan that CP-SAT finds, and its bound; `left` tells the seconds it has."""
    shop = Shop(case)
    made, start = PlainModel(shop), greedy_grouping(case)
    made.hint(start)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = max(0.1, left())
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = seed
    status = solver.solve(made.model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Solved(start, 0.0)
    done = {key for key, choice in made.choices.items() if solver.value(choice) == 1}
    places = {key[1]: (key[2], key[3]) for key in done if key[0] == "task"}
    plan = {
        "assignments": [{"task": t, "day": d, "mechanic": w} for t, (d, w) in places.items()],
        "deferred": [t for t in shop.tasks if t not in places],
        "blocked_bookings": [key[1] for key in done if key[0] == "lost"],
    }
    return Solved(plan, solver.best_objective_bound / 100)
