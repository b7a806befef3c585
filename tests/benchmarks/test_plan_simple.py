"""The simpler planners keep the rules, and are as good as they are meant to be."""

import pytest

from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
    small,
)
from tests.benchmarks.plan_plain_model import plain_model
from tests.benchmarks.plan_shapes import made
from tests.benchmarks.plan_simple import due_date_order, greedy_grouping
from tests.plan_check import check
from tests.scheduling.core.planner.cases import plan, proven


@pytest.mark.parametrize("way", [due_date_order, greedy_grouping])
@pytest.mark.parametrize("case", [*map(small, range(8)), made("M", 2), made("overdue", 1)])
def test_a_simple_plan_keeps_the_rules_except_a_limit_in_need(way, case):
    assert check(case, way(case)).rules() <= {"limit"}


@pytest.mark.parametrize("seed", range(6))
def test_grouping_is_cheaper_than_due_date_order_and_dearer_than_the_best(seed):
    case = small(seed)
    grouped = check(case, greedy_grouping(case)).total
    assert proven(case) - 1e-6 <= grouped <= check(case, due_date_order(case)).total


def two_on_one_machine():
    days = 10
    tasks = [plain_task(f"t{n}", "m", 1.0, 4.0, overdue_cost_per_day=5.0) for n in range(2)]
    case = instance(
        days,
        yards=[plain_yard()],
        mechanics=[plain_mechanic("w", [8.0] * days)],
        machines=[plain_machine("m", days, visit_cost=30.0)],
        tasks=tasks,
    )
    return case | {"weights": free_weights() | {"deferred_days": 7}}


def test_two_tasks_cost_one_visit_grouped_and_two_in_due_date_order():
    case = two_on_one_machine()
    assert check(case, greedy_grouping(case)).total == 30.0
    assert check(case, due_date_order(case)).total == 60.0


@pytest.mark.parametrize("seed", range(4))
def test_the_plain_model_finds_the_best_of_a_small_case(seed):
    """Its prices are cut to whole cents, some two dozen of them in a plan."""
    case, best = small(seed), proven(small(seed))
    solved = plain_model(case, lambda: 60.0, 1)
    report = check(case, solved.plan)
    assert report.faults == []
    assert best - 1e-6 <= report.total <= best + 0.25
    assert best - 0.25 <= solved.bound <= best + 1e-6


def test_the_plain_model_starts_from_the_greedy_plan():
    case = made("M", 1)
    greedy = check(case, greedy_grouping(case)).total
    report = check(case, plain_model(case, lambda: 3.0, 1).plan)
    assert report.faults == []
    assert report.total <= greedy + 1.0


@pytest.mark.parametrize("seed", range(6))
def test_two_models_that_share_nothing_never_beat_each_others_bound(seed):
    """Beyond what can be tried out: the planner's proof against CP-SAT on the plain model."""
    case = small(seed, machines=5 + seed % 3, days=4 + seed % 2)
    ours, plain = plan(case), plain_model(case, lambda: 2.0, 1)
    theirs = check(case, plain.plan)
    assert ours.stopped == "optimal"
    assert plain.bound <= ours.total + 0.01
    if not theirs.faults:
        assert ours.bound <= theirs.total + 0.01
        assert ours.total <= theirs.total + 0.01
