"""Cuts for the order of tasks: every plan keeps them, and the bound rises to what order costs."""

import numpy as np
import pytest

from scheduling.core.planner.bound.bound import raise_bound, start_bound
from scheduling.core.planner.bound.precedence_cuts import PrecedenceCut, broken_precedence
from scheduling.core.planner.bound.pricing import Pattern
from tests.benchmarks.plan_additions import sprinkle
from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
    small,
)
from tests.scheduling.core.planner.cases import plan, yard_case


def two_tasks():
    """Task b is due before a but comes after it; each fills a day."""
    rates = {"overdue_cost_per_day": 10.0, "waste_cost_per_day": 10.0}
    case = instance(
        6,
        yards=[plain_yard()],
        mechanics=[plain_mechanic("w", [4.0] * 6)],
        machines=[plain_machine("m", 6)],
        tasks=[
            plain_task("a", "m", 3.0, 4.0, **rates),
            plain_task("b", "m", 3.0, 1.0, after=["a"], **rates),
        ],
    )
    return case | {"weights": free_weights() | {"deferred_days": 60}}


def test_a_fraction_of_order_is_cut_off():
    bound = start_bound(*yard_case(two_tasks()))
    rows, visits = bound.rows, np.zeros(bound.rows.cost.shape[:2])
    names = {tuple(rows.machines[0].member[r]): r for r in rows.of_machine(0)}
    b, a = names[True, False], names[False, True]
    visits[b, 1] = visits[a, 4] = 1.0
    cuts = list(broken_precedence(rows, visits))
    assert [cut.day for cut in cuts] == [1, 2, 3, 4]
    kept = np.zeros_like(visits)
    kept[a, 1] = kept[b, 2] = 1.0
    assert list(broken_precedence(rows, kept)) == []


def test_a_cut_counts_and_pays_alike():
    cut = PrecedenceCut(earlier=(0,), later=(2,), day=2)
    paid = np.zeros((3, 5))
    cut.pay(paid, 7.0)
    for row in range(3):
        for day in range(5):
            assert paid[row, day] == 7.0 * cut.of(Pattern(day, 0, (row,), 0.0))


def test_the_bound_knows_what_the_order_costs():
    bound = start_bound(*yard_case(two_tasks()))
    raise_bound(bound, 200, np.inf, lambda: False)
    assert bound.value == pytest.approx(40.0)  # a on day 1, 2 or 3, and b on the day after


@pytest.mark.parametrize("seed", range(40, 52))
def test_no_plan_costs_less_than_the_bound(seed):
    case = sprinkle(small(seed), seed)
    tasks = case["tasks"]
    for first, then in zip(tasks[::2], tasks[1::2], strict=True):
        first["after"], then["after"] = [then["id"]], []
    result = plan(case)
    assert result.stopped == "optimal"
    bound = start_bound(*yard_case(case))
    raise_bound(bound, 200, np.inf, lambda: False)
    assert bound.value <= result.total + 1e-6
