import numpy as np
import pytest

from scheduling.core.planner.bound.bound import raise_bound, start_bound, start_from
from scheduling.core.planner.plan.greedy import greedy_plan
from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
    small,
    yard,
)
from tests.scheduling.core.planner.cases import plan, proven, yard_case


def bound_of(case, rounds=1000):
    made, machines = yard_case(case)
    bound = start_bound(made, machines)
    start_from(bound, greedy_plan(made, machines))
    raise_bound(bound, rounds, np.inf, lambda: False)
    return bound


@pytest.mark.parametrize("seed", range(6))
def test_no_plan_costs_less_than_the_bound_and_it_is_close(seed):
    case = small(seed)
    best = proven(case)
    value = bound_of(case).value
    assert 0.9 * best <= value <= best + 1e-6


@pytest.mark.parametrize("rounds", [0, 1, 3, 8, 15])
def test_a_bound_that_is_stopped_early_still_holds(rounds):
    case = small(7, machines=6)
    assert bound_of(case, rounds).value <= proven(case) + 1e-6


def test_at_the_end_the_bound_meets_the_linear_programme():
    bound = bound_of(yard(machines=25, mechanics=2, days=14, seed=2))
    assert bound.value == pytest.approx(bound.relaxed, rel=1e-5)


def test_a_machine_with_many_tasks_keeps_a_valid_bound():
    """Nine tasks at once: the sets are not all offered, and the bound splits the machine."""
    days = 4
    tasks = [plain_task(f"t{n}", "m", 1.0, 1.0, overdue_cost_per_day=5.0) for n in range(9)]
    case = instance(
        days,
        yards=[plain_yard()],
        mechanics=[plain_mechanic("w", [9.0] * days)],
        machines=[plain_machine("m", days, visit_cost=30.0)],
        tasks=tasks,
    ) | {"weights": free_weights() | {"deferred_days": 9}}
    assert 0 < bound_of(case).value <= 30.0 + 1e-9
    assert plan(case, 1).total == pytest.approx(30.0)  # all nine in one visit on a good day
