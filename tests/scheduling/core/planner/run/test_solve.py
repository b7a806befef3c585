"""The planner as a whole: plans that an independent checker accepts, at the price it finds."""

import pytest

from tests.benchmarks.plan_instances import (
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
    small,
    yard,
)
from tests.plan_check import check
from tests.scheduling.core.planner.cases import plan, why


def assert_sound(case, result):
    """The plan keeps every rule, costs what it says, and is not below its own bound."""
    report = check(case, result.to_dict())
    assert report.faults == []
    assert report.total == pytest.approx(result.total, abs=0.01)
    assert result.bound <= result.total + 1e-6
    for term, money in result.cost.items():
        assert report.cost[term] == pytest.approx(money, abs=0.01), term


@pytest.mark.parametrize("seed", range(4))
def test_a_small_case_is_solved_to_proof(seed):
    case = small(seed)
    result = plan(case)
    assert_sound(case, result)
    assert result.stopped == "optimal"
    assert result.gap < 1e-6


def test_a_yard_of_80_machines_reaches_a_small_gap_within_five_seconds():
    case = yard(machines=80, mechanics=2, days=28, seed=1)
    result = plan(case, seconds=5.0, gap=0.01)
    assert_sound(case, result)
    assert result.gap < 0.05


def test_overtime_allowed_on_one_day_is_used_on_that_day_alone():
    case = instance(
        4,
        yards=[plain_yard()],
        mechanics=[plain_mechanic("w", [8.0] * 4, overtime_cost_per_hour=66.0)],
        machines=[plain_machine("m", 4)],
        tasks=[plain_task("t", "m", 10.0, 0.0, overdue_cost_per_day=900.0)],
    )
    assert plan(case).deferred == ("t",)
    case["mechanics"][0]["extra_overtime_hours"] = [0.0, 1.0, 2.5, 0.0]
    result = plan(case)
    assert_sound(case, result)
    assert [a.day for a in result.assignments] == [2]
    assert result.cost["overtime"] == pytest.approx(2 * 66.0)


def test_every_planned_task_says_why():
    result = plan(small(1))
    assert result.assignments
    assert all(why(a).endswith(".") and len(why(a)) > 20 for a in result.assignments)


def test_the_same_seed_gives_the_same_plan_when_it_stops_by_proof():
    case = yard(machines=8, mechanics=1, days=10, seed=3, load=0.6)
    first, second = plan(case, 30), plan(case, 30)
    assert first.stopped == "optimal"
    assert first.assignments == second.assignments


def test_nothing_to_do_is_a_plan():
    result = plan(instance(5), seconds=1)
    assert (result.assignments, result.deferred, result.total) == ((), (), 0.0)
    assert result.feasible
    assert result.stopped == "optimal"


def test_work_without_anybody_to_do_it_is_deferred():
    case = yard(machines=6, mechanics=1, days=10, seed=3)
    case["mechanics"] = []
    for task in case["tasks"]:
        task["limit_day"] = None
    result = plan(case, seconds=2)
    assert_sound(case, result)
    assert len(result.deferred) == len(case["tasks"]) > 0
