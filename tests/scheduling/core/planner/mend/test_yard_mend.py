"""What a mend turns to first."""

import pytest

from scheduling.core.planner import RunLimits, read_problem
from scheduling.core.planner.control import Watch
from scheduling.core.planner.mend.change_penalty import ChangePenalty
from scheduling.core.planner.mend.yard_mend import Means, YardMend
from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
)

DAYS = 5


@pytest.fixture
def mend():
    """The one mechanic is away on day 0, where work stood; more work of the shop only waited."""
    late = {"overdue_cost_per_day": 10.0}
    stood = {"previous": {"day": 0, "mechanic": "w"}}
    case = instance(
        DAYS,
        yards=[plain_yard()],
        mechanics=[plain_mechanic("w", [0.0] + [8.0] * (DAYS - 1))],
        machines=[plain_machine(name, DAYS) for name in ("stood", "waited", "must")],
        tasks=[
            plain_task("a", "stood", 1.0, 0.0, **late, **stood),
            plain_task("b", "waited", 1.0, 0.0, **late),
            plain_task("c", "must", 1.0, 0.0, **late) | {"limit_day": DAYS - 1},
        ],
    )
    problem = read_problem(case | {"weights": free_weights()})
    limits = RunLimits(20.0)
    return YardMend(
        problem, Means(ChangePenalty(1.0, 0), Watch.start(limits.clock, limits.seconds), 1, 0)
    )


def names(mend, numbers):
    return {mend.machines[k].tasks[0].machine for k in numbers}


def test_what_only_waited_before_does_not_press(mend):
    assert names(mend, mend.troubled()) == {"stood", "waited", "must"}
    assert names(mend, mend._pressing()) == {"stood", "must"}
