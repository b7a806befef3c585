from random import Random

import pytest

from scheduling.core.planner.mend.displace import displaced
from scheduling.core.planner.plan.greedy import greedy_plan, placed_plan
from scheduling.core.planner.problem.entities import Spot
from scheduling.core.planner.run.solve import assignments
from tests.benchmarks.plan_additions import sprinkle
from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
    yard,
)
from tests.plan_check import check
from tests.scheduling.core.planner.cases import yard_case


def never():
    return False


def written(draft):
    """The plan in the instance format, with every booking given up that has to be."""
    places, problem = draft.places(), draft.case.problem
    rows = [a.to_dict() for a in assignments(problem, places, {})]
    lost = [
        v.bookings[j].id
        for v, slots in zip(draft.machines, draft.chosen, strict=True)
        for j in range(len(v.bookings))
        if any(v.lost[row, day, j] for row, day, _ in slots)
        or any(v.wait_lost[i, j] for i, t in enumerate(v.tasks) if t.id not in places)
    ]
    waiting = [t for t in problem.tasks if t not in places]
    return {"assignments": rows, "deferred": waiting, "blocked_bookings": lost}


def test_the_dear_one_takes_the_place_and_pushes_the_cheap_one_on():
    """One job a day: t0 costs 100 a day, t1 10, t2 1; from days 2, 0 and 1 to days 0, 1, 2."""
    days = 3
    rates = (100.0, 10.0, 1.0)
    case = instance(
        days,
        yards=[plain_yard()],
        mechanics=[plain_mechanic("w", [8.0] * days)],
        machines=[plain_machine(f"m{n}", days) for n in range(3)],
        tasks=[
            plain_task(f"t{n}", f"m{n}", 8.0, 0.0, overdue_cost_per_day=rate)
            for n, rate in enumerate(rates)
        ],
    ) | {"weights": free_weights()}
    start = placed_plan(*yard_case(case), {f"t{n}": Spot((n + 2) % 3, "w") for n in range(3)})
    assert len(start.places()) == 3
    found = displaced(start, [0], Random(0), never)
    assert {t: s.day for t, s in found.places().items()} == {"t0": 0, "t1": 1, "t2": 2}
    assert start.places()["t0"].day == 2  # the plan that was handed in is left alone


@pytest.mark.parametrize("seed", range(4))
def test_a_plan_gets_no_dearer_and_breaks_nothing(seed):
    case = yard(machines=25, mechanics=2, days=14, seed=seed)
    start = greedy_plan(*yard_case(sprinkle(case, seed) if seed % 2 else case))
    found = displaced(start, list(range(len(start.machines))), Random(seed), never)
    assert found.total() < start.total()
    missed = {"limit"} if found.unkept() else set()
    assert check(case, written(found)).rules() <= missed


def test_it_stops_when_told_to():
    start = greedy_plan(*yard_case(yard(machines=25, mechanics=2, days=14, seed=0)))
    assert displaced(start, [0, 1, 2], Random(0), lambda: True).places() == start.places()
