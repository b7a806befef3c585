from scheduling.core.planner.bound.coupling import coupling_of
from scheduling.core.planner.bound.lanes import lanes_of, levelled
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


def test_where_bays_can_bind_every_day_is_apart_but_equal_mechanics_of_a_day_are_not():
    found = lanes(bays=0.5)
    assert found.count.tolist() == [2, 1, 1, 1]
    assert found.days_apart
    assert not lanes().days_apart


def crowd(mechanics, days):
    """So many equal mechanics; a plan stands that gives the first one task each day."""
    case = instance(
        days,
        yards=[plain_yard(bays=1.0)],
        mechanics=[plain_mechanic(f"w{n}", [8.0] * days) for n in range(mechanics)],
        machines=[plain_machine(f"m{day}", days) for day in range(days)],
        tasks=[
            plain_task(f"t{day}", f"m{day}", 1.0, 0.0, previous={"day": day, "mechanic": "w0"})
            for day in range(days)
        ],
    )
    prices = free_weights() | {"change_cost": 20.0, "mechanic_change_share": 0.25}
    rows = stack(*yard_case(case | {"weights": prices}))
    return rows, coupling_of(rows)


def test_who_has_a_visit_in_the_standing_plan_is_a_lane_of_its_own():
    rows, coupling = crowd(mechanics=4, days=3)
    assert levelled(rows, coupling) is rows
    assert sorted(lanes_of(rows, coupling).count) == [1, 1, 1, 3, 3, 3]


def test_among_many_lanes_equal_mechanics_are_one_at_the_least_of_their_prices(monkeypatch):
    monkeypatch.setattr("scheduling.core.planner.bound.lanes.MANY_LANES", 5)
    rows, coupling = crowd(mechanics=4, days=3)
    level = levelled(rows, coupling)
    assert lanes_of(level, coupling).count.tolist() == [4, 4, 4]
    assert (level.cost <= rows.cost).all()
    assert (level.cost.min(axis=2) == rows.cost.min(axis=2)).all()
