"""Expected money of a plan against draws of the due dates, within a stated error.

A mean of n draws with standard deviation s lies within 4.5 s / sqrt(n) of the truth but for 7 times
in a million, a share p within 4.5 sqrt(p (1 - p) / n) (normal approximation); the seeds are fixed.
"""

import numpy as np
import pytest

from scheduling.core.planner import read_problem
from scheduling.core.planner.plan.cost import price
from scheduling.core.planner.problem.entities import Spot
from tests.benchmarks.plan_shapes import made
from tests.benchmarks.plan_simple import due_date_order, greedy_grouping

DRAWS = 20_000
ERRORS = 4.5


def drawn(tasks, rng):
    """Due days, shape (draws, tasks): a piece by its mass, then a point on it."""
    points = [[t["due"][p] for t in tasks] for p in ("p10", "p50", "p90")]
    p10, p50, p90 = np.array(points)
    ends = np.stack([p10 - (p50 - p10) / 4, p10, p50, p90, p90 + (p90 - p50) / 4])
    piece = rng.choice(4, size=(DRAWS, len(tasks)), p=[0.1, 0.4, 0.4, 0.1])
    which = np.arange(len(tasks))
    low, high = ends[piece, which], ends[piece + 1, which]
    return low + rng.random(piece.shape) * (high - low)


def far(found, expected, spread):
    """By how many standard errors of the mean the two differ."""
    return np.abs(found - expected) / np.maximum(spread / np.sqrt(DRAWS), 1e-9)


@pytest.mark.parametrize("name", ["M", "overdue", "late"])
@pytest.mark.parametrize("way", [greedy_grouping, due_date_order])
def test_overdue_and_waste_of_a_plan_are_the_means_over_the_due_dates(name, way):
    case = made(name, 5)
    problem = read_problem(case)
    plan = way(case)
    places = {a["task"]: Spot(a["day"], a["mechanic"]) for a in plan["assignments"]}
    money, tasks = price(problem, places), case["tasks"]
    last = case["horizon_days"] + case["weights"]["deferred_days"]
    day = np.array([places[t["id"]].day if t["id"] in places else last for t in tasks])
    due = drawn(tasks, np.random.default_rng(11))
    rates = {"overdue": "overdue_cost_per_day", "waste": "waste_cost_per_day"}
    apart = {"overdue": np.maximum(0, day - due), "waste": np.maximum(0, due - day)}
    for term, rate in rates.items():
        cost = apart[term] @ np.array([t[rate] for t in tasks])
        assert far(cost.mean(), money[term], cost.std()) < ERRORS, term


def test_each_task_alone_agrees_with_its_draws():
    case = made("M", 6)
    tasks = [t | {"previous": None} for t in case["tasks"]]
    due = drawn(tasks, np.random.default_rng(12))
    for n, task in enumerate(tasks):
        alone = read_problem(case | {"tasks": [task]})
        day = max(0, min(27, round(task["due"]["p50"])))
        money = price(alone, {task["id"]: Spot(day, case["mechanics"][0]["id"])})
        late, early = np.maximum(0, day - due[:, n]), np.maximum(0, due[:, n] - day)
        for term, days, rate in (("overdue", late, "overdue"), ("waste", early, "waste")):
            cost = days * task[f"{rate}_cost_per_day"]
            assert far(cost.mean(), money[term], cost.std()) < ERRORS, (task["id"], term)


@pytest.mark.parametrize(("point", "share"), [("p10", 0.1), ("p50", 0.5), ("p90", 0.9)])
def test_the_points_of_the_forecast_are_passed_as_often_as_they_say(point, share):
    tasks = made("M", 7)["tasks"]
    due = drawn(tasks, np.random.default_rng(13))
    found = (due <= np.array([t["due"][point] for t in tasks])).mean(axis=0)
    error = np.sqrt(share * (1 - share) / DRAWS)
    assert (np.abs(found - share) < ERRORS * error).all()
