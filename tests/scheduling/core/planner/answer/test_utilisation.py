import pytest

from scheduling.core.planner import Result, read_problem
from scheduling.core.planner.answer import utilisation_of
from scheduling.core.planner.answer.result import Assignment
from scheduling.core.planner.plan.cost import TERMS
from tests.benchmarks.plan_instances import (
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
    yard,
)
from tests.scheduling.core.planner.cases import plan

DAYS = 9


def placed(*spots):
    """A plan that stands where it is told to, whatever that costs."""
    assignments = tuple(Assignment(*spot) for spot in spots)
    return Result(assignments, (), (), dict.fromkeys(TERMS, 0.0), 0.0, 0.0, "time")


def two_machines():
    """A yard machine with two skills in one visit, and a machine at a ranch an hour away."""
    return instance(
        DAYS,
        yards=[plain_yard(bays=2, closed=(6,))],
        sites=[{"id": "ranch", "yard": "y", "travel_hours": 1.0, "trip_cost": 0.0}],
        mechanics=[
            plain_mechanic("w", [8.0] * DAYS, skills=["general", "electric"]),
            plain_mechanic("x", [0.0] + [6.0] * 8, overtime_limit_hours=2.0),
        ],
        machines=[
            plain_machine("m", DAYS, visit_hours=0.5),
            plain_machine("r", DAYS, site="ranch"),
        ],
        tasks=[
            plain_task("t", "m", 1.0, 2.0, setups=["jack"]),
            plain_task("u", "m", 3.0, 2.0, setups=["jack"], skill="electric"),
            plain_task("v", "r", 2.0, 2.0),
        ],
    )


def test_hours_of_a_visit_count_once_and_are_shared_by_skill():
    spots = ("t", 2, "w"), ("u", 2, "w"), ("v", 8, "x")
    full = utilisation_of(read_problem(two_machines()), placed(*spots).places())
    assert full.mechanics["w"].used[2] == pytest.approx(4.9)  # 0.5 visit, 0.4 jack, 1 + 3 work
    assert full.skills["general"].used[2] == pytest.approx(4.9 / 4)
    assert full.skills["electric"].used[2] == pytest.approx(4.9 * 3 / 4)
    assert full.mechanics["x"].used[8] == pytest.approx(3.0)  # travel and work
    assert full.bays["y"].used[2] == 1.0  # above four hours: a whole day
    assert full.bays["y"].used[8] == 0.0  # the ranch has no bay


def test_nobody_is_there_on_closed_days_or_when_absent():
    full = utilisation_of(read_problem(two_machines()), placed().places())
    assert full.mechanics["x"].available == (0.0, 6.0, 6.0, 6.0, 6.0, 6.0, 0.0, 6.0, 6.0)
    assert full.mechanics["x"].most[:2] == (0.0, 8.0)
    assert full.skills["general"].available[:2] == (8.0, 14.0)
    assert full.bays["y"].available[5:8] == (2.0, 0.0, 2.0)


def test_a_skill_that_nobody_holds_has_a_bar_of_its_own():
    case = two_machines()
    case["tasks"][2]["skill"] = "examiner"
    bar = utilisation_of(read_problem(case), placed(("v", 1, "x")).places()).skills["examiner"]
    assert bar.available == (0.0,) * DAYS


def test_weeks_are_sums_of_days_and_the_last_may_be_short():
    bar = (
        utilisation_of(read_problem(two_machines()), placed(("v", 8, "x")).places())
        .weeks()
        .mechanics["x"]
    )
    assert bar.used == pytest.approx((0.0, 3.0))
    assert bar.available == (30.0, 12.0)


def test_the_skills_hours_add_up_to_the_mechanics():
    case = yard(machines=60, mechanics=3, days=21, seed=2)
    full = utilisation_of(read_problem(case), plan(case, 1.0).places())
    by_skill = sum(sum(bar.used) for bar in full.skills.values())
    by_mechanic = sum(sum(bar.used) for bar in full.mechanics.values())
    assert by_mechanic > 50
    assert by_skill == pytest.approx(by_mechanic)
    for bar in full.mechanics.values():
        assert all(u <= m + 1e-6 for u, m in zip(bar.used, bar.most, strict=True))
