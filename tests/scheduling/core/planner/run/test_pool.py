import time
from dataclasses import replace
from math import inf

import pytest

from scheduling.core.planner import RunLimits, Stage, read_problem
from scheduling.core.planner.control.watch import Watch
from scheduling.core.planner.problem.case import split_by_yard
from scheduling.core.planner.run.pool import plan_yards
from tests.benchmarks.plan_instances import small


def yards(count):
    """A problem of several small yards, each with ids of its own."""
    parts = [read_problem(renamed(small(seed), f"y{seed}")) for seed in range(count)]
    names = ("yards", "sites", "mechanics", "parts", "machines", "tasks")
    merged = {n: {k: v for p in parts for k, v in getattr(p, n).items()} for n in names}
    return replace(parts[0], **merged)


def renamed(value, prefix, name=""):
    """The same case with the prefix before every id, and the yard named by it."""
    if isinstance(value, dict):
        return {key: renamed(item, prefix, key) for key, item in value.items()}
    if isinstance(value, list):
        return [renamed(item, prefix, name) for item in value]
    ids = {"id", "yard", "site", "machine", "mechanic", "part"}
    known = (
        isinstance(value, str) and name in ids and not value.startswith(("jack", "empty", "rea"))
    )
    return f"{prefix}-{value}" if known else value


def places(plans):
    return [plan.places for plan in plans]


def test_plans_come_back_in_the_order_of_the_yards_from_one_or_two_processes():
    problem = yards(3)
    watch = Watch.start(time.monotonic, 60.0)
    alone = plan_yards(problem, RunLimits(60.0, workers=1), watch)
    apart = plan_yards(problem, RunLimits(60.0, workers=2), watch)
    assert places(alone) == places(apart)
    for plan, yard in zip(alone, split_by_yard(problem).values(), strict=True):
        assert plan.stopped == "optimal"
        assert set(plan.places) <= set(yard.tasks)


@pytest.mark.parametrize("workers", [1, 2])
def test_progress_tells_of_every_yard_and_ends_with_the_cost_and_the_bound(workers):
    told = []
    watch = Watch.start(time.monotonic, 60.0)
    plans = plan_yards(yards(3), RunLimits(60.0, workers), watch, told.append)
    assert [p.share for p in told] == sorted(p.share for p in told)
    assert {p.share for p in told} >= {1 / 3, 2 / 3, 1.0}
    assert all(p.bound <= p.cost + 1e-6 for p in told)
    assert told[0].cost == inf
    last = told[-1]
    assert (last.stage, last.planned, last.yards) == (Stage.PLANNED, 3, 3)
    assert told[-1].cost == pytest.approx(sum(p.cost for p in plans))
    assert told[-1].bound == pytest.approx(sum(p.bound for p in plans))
