"""A month backtested night by night, with and without a price on changing the plan.

    python -m tests.benchmarks.plan_backtest [--size M] [--nights 28] [--change 0,5,20] [--seed 1]
        [--trouble 1] [--seconds 5] [--gap 0.005] [--workers 2]

Each night the shop of `plan_world` is planned anew with the places of the night before; then the
day's visits are made, but for those that are put off. Told are the tasks that had a place and were
moved to another day, and what the month really cost at the due dates as they turned out; work still
open at the end is priced as the last plan expects it. Money paid for changes is not a real cost.
"""

import argparse
import sys
from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from scheduling.core.planner import Result, RunLimits, read_problem, solve
from tests.benchmarks.plan_benchmark import heading, say
from tests.benchmarks.plan_instances import Row
from tests.benchmarks.plan_world import World
from tests.plan_check import check

HORIZON = 28
COLUMNS = (
    "change price",
    "places kept or moved",
    "moved",
    "moved a night",
    "share %",
    "most in a night",
    "overdue days",
    "limits missed",
    "bookings lost",
    "real cost",
    "against no price %",
)

Planner = Callable[[Row], Result]


@dataclass
class Diary:
    """What happened in a backtest: money by term, and counts."""

    cost: Counter = field(default_factory=Counter)
    stood: list[int] = field(default_factory=list)
    moved: list[int] = field(default_factory=list)
    overdue_days: float = 0.0
    limits_missed: int = 0
    bookings_lost: int = 0
    done: dict[str, int] = field(default_factory=dict)

    @property
    def total(self) -> float:
        """Return all real money."""
        return sum(self.cost.values())

    @property
    def share_moved(self) -> float:
        """Return the share of standing places that were moved, over all nights."""
        return sum(self.moved) / max(1, sum(self.stood))


class Backtest:
    """One month under one price of change."""

    def __init__(self, world: World, planner: Planner, change_cost: float) -> None:
        self.world, self.planner, self.change_cost = world, planner, change_cost
        self.diary = Diary()
        self.places: dict[str, Row] = {}
        self.machines = {m["id"]: m for m in world.whole["machines"]}
        self.setups = {s["id"]: s for s in world.whole["setups"]}

    def run(self) -> Diary:
        """Live through all nights, then price what is still open."""
        for night in range(self.world.nights):
            case = self.instance(night)
            plan = self.plan(case)
            self.count_moves(case, plan)
            self.places = {
                a.task: {"day": a.day + night, "mechanic": a.mechanic} for a in plan.assignments
            }
            self.work(case, night)
            self.send_out(case, night)
        self.close(self.world.nights)
        return self.diary

    def instance(self, night: int) -> Row:
        """Return what is known on a night, with the price of change."""
        case = self.world.seen(night, self.diary.done, self.places)
        return case | {"weights": case["weights"] | {"change_cost": self.change_cost}}

    def plan(self, case: Row) -> Result:
        """Plan; a plan that breaks a rule without saying so ends the backtest."""
        plan = self.planner(case)
        broken = check(case, plan.to_dict()).rules() - ({"limit"} if plan.clashes else set())
        if broken:
            raise AssertionError(f"{case['name']}: the plan breaks {', '.join(sorted(broken))}")
        return plan

    def count_moves(self, case: Row, plan: Result) -> None:
        """Count the tasks that had a place and have another day now, or none."""
        day = {a.task: a.day for a in plan.assignments}
        stood = [t for t in case["tasks"] if t["previous"]]
        self.diary.stood.append(len(stood))
        moved = sum(day.get(t["id"]) != t["previous"]["day"] for t in stood)
        self.diary.moved.append(moved)

    def work(self, case: Row, night: int) -> None:
        """Make the visits of the night's own day, at what they really cost."""
        visits = defaultdict(list)
        tasks = {t["id"]: t for t in case["tasks"]}
        for name, place in self.places.items():
            machine = tasks[name]["machine"]
            if place["day"] == night and self.world.takes_place(machine, night):
                visits[machine, place["mechanic"]].append(tasks[name])
        hours: Counter = Counter()
        trips = set()
        for (machine, mechanic), rows in visits.items():
            hours[mechanic] += self.visit(machine, rows, night)
            if site := self.machines[machine]["site"]:
                trips.add((site, mechanic))
        sites = {s["id"]: s for s in case["sites"]}
        for site, mechanic in trips:
            hours[mechanic] += sites[site]["travel_hours"]
            self.diary.cost["trip"] += sites[site]["trip_cost"]
        for mechanic in case["mechanics"]:
            over = max(0.0, hours[mechanic["id"]] - mechanic["hours"][0])
            self.diary.cost["overtime"] += over * mechanic["overtime_cost_per_hour"]

    def visit(self, machine: str, rows: list[Row], night: int) -> float:
        """Note a visit and its tasks as done; return its hours."""
        row, cost = self.machines[machine], self.diary.cost
        setups = [self.setups[s] for s in {s for t in rows for s in t["setups"]}]
        hours = row["visit_hours"] + sum(x["hours"] for x in [*rows, *setups])
        share = 0.5 if hours <= self.world.whole["weights"]["half_day_hours"] + 1e-6 else 1.0
        cost["visit"] += row["visit_cost"]
        cost["setup"] += sum(s["cost"] for s in setups)
        cost["downtime"] += share * row["day_rate"] * row["demand"][night]
        for task in rows:
            self.settle(task["id"], night)
            self.diary.done[task["id"]] = night
        return hours

    def settle(self, name: str, day: int) -> None:
        """Note how far from its real due date a task is done."""
        task, truth = self.world.tasks[name], self.world.stories[name].truth
        late, early = max(0.0, day - truth), max(0.0, truth - day)
        self.diary.cost["overdue"] += task["overdue_cost_per_day"] * late
        self.diary.cost["waste"] += task["waste_cost_per_day"] * early
        self.diary.overdue_days += late
        limit = task["limit_day"]
        self.diary.limits_missed += limit is not None and day > limit

    def send_out(self, case: Row, night: int) -> None:
        """Lose the bookings of tomorrow on whose machine work must be done before."""
        for machine in case["machines"]:
            for booking in machine["bookings"]:
                kept_in = any(
                    t["machine"] == machine["id"]
                    and t["blocks_rental"]
                    and t["id"] not in self.diary.done
                    and t["due"]["p50"] < booking["last_day"] + 1
                    for t in case["tasks"]
                )
                if booking["first_day"] == 1 and kept_in:
                    lost = booking["value"] + case["weights"]["goodwill_cost"]
                    self.diary.cost["booking"] += lost
                    self.diary.bookings_lost += 1

    def close(self, night: int) -> None:
        """Count the days that open work is overdue, and price it as the last plan expects it."""
        case = self.instance(night)
        for task in case["tasks"]:
            late = night - self.world.stories[task["id"]].truth
            self.diary.overdue_days += max(0.0, late)
            limit = self.world.tasks[task["id"]]["limit_day"]
            self.diary.limits_missed += limit is not None and night > limit
        plan = self.plan(case)
        self.diary.cost["still open"] += plan.total - plan.cost["change"]


def backtest(world: World, planner: Planner, prices: Sequence[float]) -> dict[float, Diary]:
    """Live the same month under each price of change."""
    return {price: Backtest(world, planner, price).run() for price in prices}


def line(price: float, diary: Diary, first: Diary) -> str:
    """Return a backtest as a row of the table."""
    cells = (
        f"{price:g}",
        str(sum(diary.stood)),
        str(sum(diary.moved)),
        f"{sum(diary.moved) / len(diary.moved):.1f}",
        f"{100 * diary.share_moved:.1f}",
        str(max(diary.moved)),
        f"{diary.overdue_days:.0f}",
        str(diary.limits_missed),
        str(diary.bookings_lost),
        f"{diary.total:,.0f}",
        f"{100 * (diary.total / first.total - 1):+.1f}",
    )
    return "| " + " | ".join(cells) + " |"


def main(arguments: Sequence[str] | None = None) -> int:
    """Backtest, print."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--size", default="M")
    parser.add_argument("--nights", type=int, default=28)
    parser.add_argument("--horizon", type=int, default=HORIZON)
    parser.add_argument("--change", default="0,5,20", help="prices of a changed day")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--trouble", type=float, default=1.0, help="0: nothing put off or late")
    parser.add_argument("--seconds", type=float, default=5.0, help="wall clock for each night")
    parser.add_argument("--gap", type=float, default=0.005, help="stop a night when so close")
    parser.add_argument("--workers", type=int, default=2)
    chosen = parser.parse_args(arguments)
    limits = RunLimits(chosen.seconds, chosen.workers, gap=chosen.gap)
    world = World(chosen.size, chosen.seed, chosen.nights, chosen.horizon, chosen.trouble)
    prices = [float(price) for price in chosen.change.split(",")]
    say(f"{chosen.size} {chosen.seed}, {chosen.nights} nights, {len(world.tasks)} tasks\n")
    say(heading(COLUMNS))
    first: Diary | None = None
    for price in prices:
        diary = Backtest(world, lambda case: solve(read_problem(case), limits), price).run()
        first = first or diary
        say(line(price, diary, first))
    return 0


if __name__ == "__main__":
    sys.exit(main())
