"""What would have to give for a limit or pin that cannot be kept, in whole plans."""

import copy

import pytest

from scheduling.wording import plan_file, relaxation_words
from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
)
from tests.scheduling.core.planner.cases import IDS, plan

DAYS = 5


def shop(*tasks, bookings=()):
    machines = [plain_machine(name, DAYS) for name in sorted({t["machine"] for t in tasks})]
    machines[0]["bookings"] = list(bookings)
    case = instance(
        DAYS,
        yards=[plain_yard()],
        mechanics=[plain_mechanic("w", [8.0] * DAYS, overtime_cost_per_hour=50.0)],
        machines=machines,
        tasks=list(tasks),
    )
    return case | {"weights": free_weights()}


def job(n, hours, **fields):
    rates = {"overdue_cost_per_day": 10.0}
    return plain_task(f"t{n}", f"m{n}", hours, 0.0, **rates | fields)


def test_a_limit_names_overtime_and_the_day_that_the_plan_needs():
    case = shop(job(0, 6.0, limit_day=0), job(1, 4.0, limit_day=0))
    result = plan(case)
    (clash,) = result.clashes
    ways = {relaxation.kind: relaxation for relaxation in clash.gives}
    assert (ways["overtime"].amount, ways["overtime"].what) == (2.0, "w")
    late = next(a for a in result.assignments if a.task == clash.task)
    assert (ways["limit"].amount, ways["limit"].price) == (late.day, 0.0)
    assert "it is done 1 day late instead, on day 1 with w" in relaxation_words(ways["limit"], IDS)
    kept = copy.deepcopy(case)
    kept["mechanics"][0]["overtime_limit_hours"] = 2.0
    eased = plan(kept)
    assert eased.feasible
    assert eased.total == pytest.approx(result.total + ways["overtime"].price)


def test_a_pin_on_a_booked_day_names_the_booking():
    booking = {"id": "b", "first_day": 2, "last_day": 3, "value": 10.0}
    result = plan(shop(job(0, 6.0, pin={"day": 2, "mechanic": None}), bookings=[booking]))
    (clash,) = result.clashes
    (relaxation,) = clash.gives
    assert (relaxation.kind, relaxation.days, relaxation.amount, relaxation.spot.day) == (
        "booking",
        (2, 3),
        1,
        2,
    )
    assert plan_file(result)["clashes"][0]["ways_out"] == [relaxation_words(relaxation, IDS)]


def test_a_limit_on_days_without_anybody_has_no_way_out_but_its_own():
    case = shop(job(0, 6.0, limit_day=1))
    case["mechanics"][0]["hours"][:2] = [0.0, 0.0]
    (clash,) = plan(case).clashes
    assert [relaxation.kind for relaxation in clash.gives] == ["limit"]
