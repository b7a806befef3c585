from scheduling.core.planner.bound.coupling import coupling_of
from scheduling.core.planner.bound.lanes import lanes_of
from scheduling.core.planner.bound.visit_table import stack
from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
)
from tests.scheduling.core.planner.cases import yard_case


def lanes(bays=9, **task):
    """Two mechanics, three days, of which one is shorter; one task with no due cost."""
    case = instance(
        3,
        yards=[plain_yard(bays=bays)],
        mechanics=[plain_mechanic("v", [8.0, 8.0, 0.0]), plain_mechanic("w", [8.0, 6.0, 8.0])],
        machines=[plain_machine("m", 3)],
        tasks=[plain_task("t", "m", 1.0, 0.0, **task)],
    )
    rows = stack(*yard_case(case | {"weights": free_weights()}))
    return lanes_of(rows, coupling_of(rows))


def test_equal_mechanic_days_are_one_lane():
    found = lanes()
    assert sorted(found.count) == [1, 4]
    assert found.of_spot[0, 0] == found.of_spot[2, 1] != found.of_spot[1, 1]


def test_days_at_different_prices_are_apart():
    assert sorted(lanes(overdue_cost_per_day=3.0).count) == [1, 1, 1, 2]


def test_where_bays_can_bind_every_mechanic_day_is_apart():
    assert lanes(bays=0.5).count.tolist() == [1] * 5
