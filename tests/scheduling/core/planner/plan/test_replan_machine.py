"""One machine planned anew: what must follow other work of the machine comes back with it."""

import pytest

from scheduling.core.planner.plan.draft import Draft
from scheduling.core.planner.plan.replan_machine import replan
from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
)
from tests.scheduling.core.planner.cases import yard_case

DAYS = 10


@pytest.fixture
def draft():
    """Three tasks of one machine, each an hour and dear to leave: b after a, c after b, apart."""
    late = {"overdue_cost_per_day": 10.0, "limit_day": DAYS - 1}
    tasks = [plain_task(name, "m", 1.0, 0.0) | late for name in "abc"]
    for task, before in zip(tasks[1:], "ab", strict=True):
        task |= {"after": [before], "apart": [before]}
    case = instance(
        DAYS,
        yards=[plain_yard()],
        mechanics=[plain_mechanic("w", [8.0] * DAYS)],
        machines=[plain_machine("m", DAYS)],
        tasks=tasks,
    )
    return Draft.empty(*yard_case(case | {"weights": free_weights()}))


def test_a_chain_of_work_is_put_in_whole(draft):
    replan(draft, 0)
    assert not draft.waiting(0).any()
    assert sorted((spot.day, task) for task, spot in draft.places().items()) == [
        (0, "a"), (1, "b"), (2, "c"),
    ]  # fmt: skip


def test_what_was_taken_out_comes_back_as_it_stood(draft):
    replan(draft, 0)
    total, places = draft.total(), draft.places()
    draft.clear(0)
    replan(draft, 0)
    assert (draft.total(), draft.places()) == (total, places)


def test_followers_join_what_stands_already(draft):
    replan(draft, 0)
    first = min(draft.chosen[0], key=lambda slot: slot[1])
    draft.clear(0)
    draft.put(0, first)
    draft.reprice(0)
    replan(draft, 0)
    assert not draft.waiting(0).any()
