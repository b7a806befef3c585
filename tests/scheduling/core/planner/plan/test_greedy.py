from scheduling.core.planner.plan import Draft, by_stake, completed
from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
)
from tests.scheduling.core.planner.cases import yard_case


def draft():
    """One day, one mechanic, room for one of two machines: the first is due sooner, b is dearer."""
    case = instance(
        1,
        yards=[plain_yard()],
        mechanics=[plain_mechanic("w", [4.0])],
        machines=[plain_machine(name, 1) for name in "ab"],
        tasks=[
            plain_task("a", "a", 4.0, -3.0, overdue_cost_per_day=5.0),
            plain_task("b", "b", 4.0, 0.0, overdue_cost_per_day=50.0),
        ],
    )
    return Draft.empty(*yard_case(case | {"weights": free_weights() | {"deferred_days": 9}}))


def test_a_plan_is_completed_in_the_order_that_is_given():
    assert set(completed(draft()).places()) == {"a"}
    assert set(completed(draft(), [1, 0]).places()) == {"b"}


def test_what_has_most_money_at_stake_comes_first():
    assert by_stake(draft().machines) == [1, 0]
