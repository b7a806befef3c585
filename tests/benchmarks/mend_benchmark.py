"""What a mend changes and costs, beside planning the broken shop anew from its standing plan.

    python -m tests.benchmarks.mend_benchmark --seeds 1 2 3 --seconds 2

A shop of 200 machines has a plan; then a mechanic is away for two days, parts come four days
late, a machine comes back late, or an urgent job comes in.  Printed for each: tasks that had to
move at least (proven), moves and money of the mend, of a plan made anew in five times the time at
the nightly price of a change, and of leaving everything undone that cannot stand.
"""

import argparse
import copy
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace

from scheduling.core.planner import (
    LeavingKind,
    Problem,
    Result,
    RunLimits,
    Spot,
    mend,
    price,
    read_problem,
    solve,
)
from tests.benchmarks.plan_instances import Row, plain_task
from tests.benchmarks.plan_shapes import made
from tests.plan_check import check

HEAD = (
    "| seed | what broke | at least | mend: moves | money | seconds "
    "| anew: moves | money | undone |"
)


def away(case: Row) -> None:
    """Let the busiest mechanic be away today and tomorrow."""
    stood = [t["previous"]["mechanic"] for t in case["tasks"] if t["previous"]]
    name = max(sorted(set(stood)), key=stood.count)
    next(m for m in case["mechanics"] if m["id"] == name)["hours"][:2] = [0.0, 0.0]


def late(case: Row) -> None:
    """Let every part on its way come four days later."""
    for arrival in (a for part in case["parts"] for a in part["arrivals"]):
        arrival["day"] += 4


def kept_longer(case: Row) -> None:
    """Let the machine that stands next in the shop after day 2 stay out until then."""
    stood = [t for t in case["tasks"] if t["previous"] and t["previous"]["day"] > 2]
    task = min(stood, key=lambda t: (t["previous"]["day"], t["id"]))
    machine = next(m for m in case["machines"] if m["id"] == task["machine"])
    booking = {"id": "out", "first_day": 0, "last_day": task["previous"]["day"], "value": 100.0}
    machine["bookings"] = [booking]


def urgent(case: Row) -> None:
    """Let three hours of work come in that keep a machine from going out."""
    rates = {"overdue_cost_per_day": 60.0, "blocks_rental": True}
    row = plain_task("urgent", case["machines"][0]["id"], 3.0, 0.0, **rates)
    case["tasks"].append(row | {"skill": case["tasks"][0]["skill"]})


BREAKS: dict[str, Callable[[Row], None]] = {
    "mechanic away 2 days": away,
    "parts 4 days late": late,
    "machine back late": kept_longer,
    "urgent job": urgent,
}


def standing(seed: int, seconds: float, workers: int) -> Row:
    """Return a shop of 200 machines with a plan that stands, day 0 frozen."""
    case = made("M", seed)
    result = solve(read_problem(case), RunLimits(seconds, workers))
    spots = {a.task: {"day": a.day, "mechanic": a.mechanic} for a in result.assignments}
    tasks = [task | {"previous": spots.get(task["id"])} for task in case["tasks"]]
    return case | {"tasks": tasks, "frozen_days": 1}


def moves(case: Row, result: Result) -> int:
    """Return how many tasks are not where they stood."""
    now = {t: {"day": s.day, "mechanic": s.mechanic} for t, s in result.places().items()}
    return sum(now.get(task["id"]) != task["previous"] for task in case["tasks"])


def undone(problem: Problem, away_now: set[str]) -> float:
    """Return the money if all that cannot stand, and all that is new, is put off."""
    places: dict[str, Spot] = {
        t.id: t.previous for t in problem.tasks.values() if t.previous and t.id not in away_now
    }
    return sum(price(problem, places).values())


def line(name: str, case: Row, seconds: float, workers: int) -> str:
    """Mend a broken shop, check the plan, plan it anew, and return a row of the table."""
    problem = read_problem(case)
    found = mend(problem, RunLimits(seconds, workers))
    report = check(case | {"frozen_days": 0}, found.result.to_dict())
    if report.faults:
        raise SystemExit(f"{name}: {report.faults}")
    eased = replace(problem, frozen_days=0)
    anew = solve(eased, RunLimits(5 * seconds, workers))
    barred = {m.task for m in found.moves if m.leaving.kind is LeavingKind.BARRED}
    left = undone(problem, barred)
    cells = [
        name, found.least_moves, len(found.moves), f"{found.cost_after:.0f}",
        f"{found.seconds:.2f}", moves(case, anew), f"{anew.total:.0f}", f"{left:.0f}",
    ]  # fmt: skip
    return " | ".join(map(str, cells))


def say(text: str) -> None:
    """Write a line at once, for a run takes minutes."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def main(arguments: Sequence[str] | None = None) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, nargs="+", default=[1, 2, 3])
    parser.add_argument("--seconds", type=float, default=2.0)
    parser.add_argument("--workers", type=int, default=2)
    chosen = parser.parse_args(arguments)
    say(HEAD)
    say("|" + "---|" * (HEAD.count(" | ") + 1))
    for seed in chosen.seeds:
        shop = standing(seed, 5 * chosen.seconds, chosen.workers)
        for name, breaks in BREAKS.items():
            case = copy.deepcopy(shop)
            breaks(case)
            say(f"| {seed} | {line(name, case, chosen.seconds, chosen.workers)} |")


if __name__ == "__main__":
    main()
