"""Second persons, and the later days of long work with their bays, in what no plan can beat."""

import pytest
from hypothesis import assume, given, settings

from scheduling.core.planner.bound.visit_table import stack
from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
)
from tests.scheduling.core.planner.bound.test_bound import bound_of
from tests.scheduling.core.planner.cases import proven, yard_case
from tests.scheduling.core.planner.drawn_additions import best_with_additions, cases_with_additions

CENT = 0.005
DAYS = 4
LATE = {"overdue_cost_per_day": 10.0}


def shop(tasks, mechanics=("v", "w"), bays=9.0, hours=8.0):
    """One machine a task, so that nothing but hours and bays ties them together."""
    return instance(
        DAYS,
        yards=[plain_yard(bays=bays)],
        mechanics=[plain_mechanic(name, [hours] * DAYS) for name in mechanics],
        machines=[plain_machine(task["machine"], DAYS) for task in tasks],
        tasks=tasks,
    ) | {"weights": free_weights() | {"deferred_days": 9, "half_day_hours": 4.0}}


def due_now(n, hours, **fields):
    return plain_task(f"t{n}", f"m{n}", hours, 0.0, **LATE, **fields)


@pytest.mark.slow
@pytest.mark.timeout(600)
@settings(max_examples=25, deadline=None, derandomize=True)
@given(cases_with_additions())
def test_it_is_above_no_plan_there_is(case):
    fewest, least = best_with_additions(case)
    assume(not fewest)
    assert bound_of(case).value <= least + CENT


def test_where_everybody_is_second_to_another_half_of_the_work_is_a_day_late():
    case = shop([due_now(n, 8.0, second={"skill": "general", "hours": 8.0}) for n in range(2)])
    # Two people do one of the two today and the other tomorrow.
    assert bound_of(case).value == pytest.approx(10.0, rel=0.01)
    assert proven(case) == pytest.approx(10.0)


def test_a_machine_keeps_its_bay_until_its_work_ends():
    case = shop(
        [due_now(0, 16.0, several_days=True), due_now(1, 4.0, limit_day=None)],
        bays=1.0,
    )
    # The short one goes first; then the long one has the bay for two days and is two days late.
    assert proven(case) == pytest.approx(20.0)
    # Halves of both orders cost less; were the second day free, only one of them would be late.
    assert 10.0 + CENT < bound_of(case).value <= 20.0 + CENT


def test_the_later_days_of_long_work_take_the_mechanics_hours():
    case = shop([due_now(0, 16.0, several_days=True), due_now(1, 16.0, several_days=True)], "v")
    assert proven(case) == pytest.approx(10.0 + 30.0)
    assert bound_of(case).value == pytest.approx(40.0, rel=0.01)


def test_overtime_that_a_second_person_works_is_worth_its_least_price():
    case = shop([due_now(n, 6.0, second={"skill": "general", "hours": 6.0}) for n in range(2)])
    for mechanic, price in zip(case["mechanics"], (2.0, 3.0), strict=True):
        mechanic |= {"overtime_limit_hours": 4.0, "overtime_cost_per_hour": price}
    # Four hours each beyond the eight: 8 + 12 money, or a day late for 10.
    assert proven(case) == pytest.approx(10.0)
    assert bound_of(case).value <= 10.0 + CENT


def test_bays_of_a_day_that_stands_for_several_days_are_not_asked_for_twice():
    """Three pieces for one machine and one bay, a day each, on days that are all alike."""
    case = instance(
        DAYS,
        yards=[plain_yard(bays=1.0)],
        mechanics=[plain_mechanic("v", [8.0] * DAYS)],
        machines=[plain_machine("m", DAYS, visit_cost=10.0)],
        tasks=[plain_task(f"t{n}", "m", 5.0, 0.0, limit_day=DAYS - 1) for n in range(3)],
    ) | {"weights": free_weights()}
    bound = bound_of(case)
    assert bound.pricer.lanes.count.tolist() == [DAYS]
    assert bound.value == pytest.approx(proven(case)) == pytest.approx(30.0)


def test_what_is_taken_elsewhere_is_told_by_day():
    case, machines = yard_case(shop([due_now(0, 12.0, several_days=True)], "v"))
    taken = stack(case, machines).elsewhere.of([0], 1, 0)
    assert [(day, halves) for day, halves, _ in taken] == [(2, 2.0)]
    assert taken[0][2] == pytest.approx(4.0 - 1 / case.scale)
    assert stack(case, machines).elsewhere.of([0], DAYS - 1, 0) == []
