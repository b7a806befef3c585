import numpy as np
import pytest

from scheduling.core.planner.explain.task_placer import TaskPlacer, members
from scheduling.core.planner.plan.cost import price
from scheduling.core.planner.plan.greedy import greedy_plan, placed_plan
from scheduling.core.planner.problem.entities import Spot
from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
    yard,
)
from tests.scheduling.core.planner.cases import yard_case

DAYS = 5


def two_tasks():
    """Two tasks of one machine that stand together on day 1, a visit at 30."""
    case = instance(
        DAYS,
        yards=[plain_yard()],
        mechanics=[plain_mechanic("w", [8.0] * DAYS)],
        machines=[plain_machine("m", DAYS, visit_cost=30.0)],
        tasks=[
            plain_task("t", "m", 1.0, 1.0, overdue_cost_per_day=5.0, waste_cost_per_day=1.0),
            plain_task("u", "m", 1.0, 2.0, overdue_cost_per_day=5.0, waste_cost_per_day=1.0),
        ],
    )
    places = {"t": Spot(1, "w"), "u": Spot(1, "w")}
    return placed_plan(*yard_case(case | {"weights": free_weights()}), places)


def test_a_task_leaves_its_visit_and_the_rest_stays():
    draft = two_tasks()
    placer = TaskPlacer(draft.machines[0], 0)
    (slot,) = draft.chosen[0]
    assert members(draft.machines[0], slot) == [0, 1]
    assert placer.without(draft, slot, 1).places() == {"t": Spot(1, "w")}
    assert draft.places() == {"t": Spot(1, "w"), "u": Spot(1, "w")}


def test_the_cheapest_place_is_the_other_visit_or_one_of_its_own():
    draft = two_tasks()
    placer = TaskPlacer(draft.machines[0], 0)
    without = placer.without(draft, draft.chosen[0][0], 1)
    assert placer.cheapest(without, 1).places()["u"] == Spot(1, "w")  # back to where it was
    assert placer.joined(without, 1, draft.chosen[0]) == []  # unless that is barred
    alone = placer.on_its_own(without, placer.free(without, 1), 1)
    assert alone.places()["u"] == Spot(2, "w")
    assert alone.total() - draft.total() == pytest.approx(30.0 - 1.0)


def test_no_place_at_all_is_none():
    draft = two_tasks()
    placer = TaskPlacer(draft.machines[0], 0)
    assert placer.on_its_own(draft, np.full((DAYS, 1), np.inf), 0) is None
    assert placer.on_its_own(draft, np.zeros((DAYS, 0)), 0) is None


def test_every_plan_made_is_priced_like_its_places():
    draft = greedy_plan(*yard_case(yard(machines=20, mechanics=2, days=14, seed=3)))
    tried = 0
    for k, visits in enumerate(draft.machines):
        placer = TaskPlacer(visits, k)
        for i in np.flatnonzero(draft.waiting(k)).tolist():
            found = placer.cheapest(draft, i)
            if found is not None:
                cost = sum(price(draft.case.problem, found.places()).values())
                assert found.total() == pytest.approx(cost, abs=0.01)
                assert visits.tasks[i].id in found.places()
                tried += 1
    assert tried
