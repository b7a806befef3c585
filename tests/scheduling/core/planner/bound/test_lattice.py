import pytest

from scheduling.core.planner.bound.lattice import money_step, raised
from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
    small,
)
from tests.scheduling.core.planner.cases import yard_case


@pytest.mark.parametrize(
    ("bound", "step", "found"),
    [(4691.2, 100.0, 4700.0), (899.9999999, 100.0, 900.0), (900.0, 100.0, 900.0), (7.3, 0.0, 7.3)],
)
def test_a_bound_rises_to_the_next_possible_cost(bound, step, found):
    assert raised(bound, step) == pytest.approx(found)


def test_prices_of_25_and_40_step_by_5_and_real_prices_by_nothing():
    case = instance(
        3,
        yards=[plain_yard()],
        mechanics=[plain_mechanic("w", [8.0] * 3)],
        machines=[plain_machine("m", 3, visit_cost=25.0), plain_machine("n", 3, visit_cost=40.0)],
        tasks=[plain_task("t", "m", 1.0, 0.0), plain_task("u", "n", 1.0, 0.0)],
    )
    assert money_step(*yard_case(case | {"weights": free_weights()})) == 5.0
    assert money_step(*yard_case(small(1))) == 0.0
