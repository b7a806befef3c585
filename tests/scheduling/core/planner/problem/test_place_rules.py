import pytest

from scheduling.core.planner import Conflict, ConflictKind, read_problem
from scheduling.core.planner.problem.place_rules import (
    allowed_days,
    allowed_mechanics,
    day_rule,
    mechanic_rule,
)
from tests.benchmarks.plan_instances import instance, plain_machine, plain_mechanic, plain_task
from tests.benchmarks.plan_instances import plain_yard as place

OUT = {"id": "b", "first_day": 6, "last_day": 7, "value": 1.0}


def rules(**fields):
    """Ten days of which day 4 is closed, 6 and 7 booked, and the first two frozen."""
    problem = read_problem(
        instance(
            10,
            yards=[place(closed=(4,)), place("far")],
            mechanics=[
                plain_mechanic("able", [8.0] * 10),
                plain_mechanic("other", [8.0] * 10, skills=["diving"]),
                plain_mechanic("away", [8.0] * 10, yard="far"),
            ],
            machines=[plain_machine("m", 10, bookings=[OUT])],
            tasks=[plain_task("t", "m", 1.0, 5.0, **fields)],
        )
        | {"frozen_days": 2}
    )
    return problem, problem.machines["m"], problem.tasks["t"]


CASES = [
    ({}, [2, 3, 5, 8, 9]),
    ({"limit_day": 5}, [2, 3, 5]),
    ({"limit_day": -1}, []),
    ({"pin": {"day": 0, "mechanic": None}}, [0]),
    ({"pin": {"day": 6, "mechanic": None}}, []),
    ({"previous": {"day": 1, "mechanic": "able"}}, [1]),
    ({"previous": {"day": 5, "mechanic": "able"}}, [2, 3, 5, 8, 9]),
    ({"not_before": 4}, [5, 8, 9]),
    ({"not_before": 1}, [2, 3, 5, 8, 9]),
    ({"not_before": 12}, []),
    ({"not_before": 8, "pin": {"day": 3, "mechanic": None}}, [3]),
    ({"not_before": 8, "previous": {"day": 1, "mechanic": "able"}}, [1]),
]


@pytest.mark.parametrize(("fields", "days"), CASES)
def test_the_days_allowed_are_those_without_a_rule_against_them(fields, days):
    problem, machine, task = rules(**fields)
    assert allowed_days(problem, machine, task).nonzero()[0].tolist() == days
    free = [d for d in range(10) if day_rule(problem, machine, task, d) is None]
    assert free == days


def test_each_rule_says_what_it_is():
    problem, machine, task = rules(limit_day=8)
    said = [day_rule(problem, machine, task, day) for day in (1, 4, 6, 9)]
    assert said == [
        Conflict(ConflictKind.DAYS_FROZEN, day=2),
        Conflict(ConflictKind.YARD_CLOSED, what="y"),
        Conflict(ConflictKind.BOOKED, day=6, last_day=7, what="b"),
        Conflict(ConflictKind.PAST_LIMIT, day=8),
    ]


def test_work_that_was_put_off_says_until_when():
    problem, machine, task = rules(not_before=8)
    assert day_rule(problem, machine, task, 5) == Conflict(ConflictKind.PUT_OFF, day=8)
    assert day_rule(problem, machine, task, 8) is None


def test_a_mechanic_needs_the_yard_the_skill_and_the_pin():
    problem, _, task = rules(pin={"day": 3, "mechanic": "able"})
    crew = list(problem.mechanics.values())
    assert allowed_mechanics(problem, crew, task).tolist() == [True, False, False]
    assert mechanic_rule(problem, task, crew[1]) == Conflict(
        ConflictKind.SKILL_NOT_HELD, mechanic="other", skill="general"
    )
    assert mechanic_rule(problem, task, crew[2]) == Conflict(
        ConflictKind.OTHER_YARD, mechanic="away", what="far"
    )


def test_a_ranch_takes_no_visit_on_its_closed_days():
    ranch = {"id": "r", "yard": "y", "travel_hours": 1.0, "trip_cost": 5.0, "closed_days": [1, 3]}
    lists = {
        "yards": [place(closed=(3,))],
        "sites": [ranch],
        "machines": [plain_machine("far", 5, site="r"), plain_machine("near", 5)],
        "tasks": [plain_task("t", "far", 1.0, 1.0), plain_task("u", "near", 1.0, 1.0)],
    }
    problem = read_problem(instance(5, **lists))
    days = {
        t.id: allowed_days(problem, problem.machines[t.machine], t).nonzero()[0].tolist()
        for t in problem.tasks.values()
    }
    assert days == {"t": [0, 2, 4], "u": [0, 1, 2, 4]}
    task, machine = problem.tasks["t"], problem.machines["far"]
    said = [day_rule(problem, machine, task, day) for day in (0, 1, 3)]
    assert said == [
        None,
        Conflict(ConflictKind.SITE_CLOSED, what="r"),
        Conflict(ConflictKind.YARD_CLOSED, what="y"),
    ]
