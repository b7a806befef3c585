"""The planner against every plan there is: 3 machines x 2 tasks x 4 days x 2 mechanics.

A machine's own cost for each of its 81 ways is priced by the independent checker; what the
machines share (hours, bays, parts) is added up for all combinations of the three.
"""

from itertools import product

import numpy as np
import pytest

from tests.benchmarks.plan_instances import small
from tests.plan_check import check
from tests.scheduling.core.planner.cases import plan

HEAVY = 1e9


def ways(case, machine):
    """Each way to plan one machine: own money, hours (day x mechanic), half bays, parts drawn."""
    tasks = [t for t in case["tasks"] if t["machine"] == machine["id"]]
    alone = case | {"machines": [machine], "tasks": tasks}
    names = [m["id"] for m in case["mechanics"]]
    spots = [None, *product(range(case["horizon_days"]), range(len(names)))]
    for chosen in product(spots, repeat=len(tasks)):
        done = [(t, s) for t, s in zip(tasks, chosen, strict=True) if s]
        rows = [{"task": t["id"], "day": d, "mechanic": names[w]} for t, (d, w) in done]
        waiting = [t["id"] for t, s in zip(tasks, chosen, strict=True) if not s]
        bookings = [b["id"] for b in machine["bookings"]]
        for lost in ([], bookings) if bookings else ([],):
            made = {"assignments": rows, "deferred": waiting, "blocked_bookings": lost}
            report = check(alone, made)
            if not report.faults:
                yield report.total - report.cost["overtime"], *use(case, machine, done)


def use(case, machine, done):
    setups = {s["id"]: s["hours"] for s in case["setups"]}
    hours = np.zeros((case["horizon_days"], len(case["mechanics"])))
    bays, parts = np.zeros(case["horizon_days"]), np.zeros(case["horizon_days"])
    for day, w in {spot for _, spot in done}:
        tasks = [t for t, spot in done if spot == (day, w)]
        work = sum(t["hours"] for t in tasks) + machine["visit_hours"]
        work += sum(setups[s] for s in {s for t in tasks for s in t["setups"]})
        hours[day, w] += work + (case["sites"][0]["travel_hours"] if machine["site"] else 0.0)
        bays[day] += 0.0 if machine["site"] else (1 if work <= 4.0 else 2)
        parts[day:] += sum(len(t["parts"]) for t in tasks)
    return hours, bays, parts


def cheapest(case):
    """The least cost over all combinations of the machines' ways."""
    columns = [list(zip(*ways(case, machine), strict=True)) for machine in case["machines"]]
    money, hours, bays, parts = (spread([np.array(c[i]) for c in columns]) for i in range(4))
    regular = np.array([m["hours"] for m in case["mechanics"]]).T
    over = np.maximum(0.0, hours - regular)
    money = money + over.sum(axis=(-1, -2)) * case["mechanics"][0]["overtime_cost_per_hour"]
    stock = [1.0 + sum(day >= a["day"] for a in case["parts"][0]["arrivals"]) for day in range(4)]
    broken = (over > case["mechanics"][0]["overtime_limit_hours"] + 1e-9).any(axis=(-1, -2))
    broken |= (bays > 2 * case["yards"][0]["bays"]).any(axis=-1)
    broken |= (parts > np.array(stock)).any(axis=-1)
    return np.where(broken, HEAVY, money).min()


def spread(values):
    """Sum three arrays over the grid of their first axes."""
    a, b, c = values
    return a[:, None, None] + b[None, :, None] + c[None, None, :]


@pytest.mark.parametrize("seed", range(8))
def test_the_planner_finds_the_cheapest_of_all_plans(seed):
    case = small(seed)
    result = plan(case)
    assert result.stopped == "optimal"
    assert result.total == pytest.approx(cheapest(case), abs=1e-6)
