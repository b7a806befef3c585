import pytest

from scheduling.core.planner import read_problem
from scheduling.core.planner.answer.cost_counts import CostCounts, cost_counts
from scheduling.core.planner.plan.cost import TERMS
from scheduling.core.planner.problem.entities import Spot
from scheduling.wording import cost_sentences
from tests.benchmarks.plan_instances import (
    WEIGHTS,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
)

DAYS = 7


def told():
    """Two tasks in one visit at a ranch with overtime, one waiting that loses a booking."""
    before = {"day": 4, "mechanic": "w"}
    rates = {"overdue_cost_per_day": 10.0, "waste_cost_per_day": 1.0}
    booking = {"id": "b", "first_day": 3, "last_day": 5, "value": 40.0}
    case = instance(
        DAYS,
        yards=[plain_yard()],
        sites=[{"id": "ranch", "yard": "y", "travel_hours": 1.0, "trip_cost": 90.0}],
        mechanics=[
            plain_mechanic("w", [3.0] * DAYS, overtime_limit_hours=3, overtime_cost_per_hour=50.0)
        ],
        machines=[
            plain_machine("r", DAYS, site="ranch", day_rate=100.0, demand=[1.0] * DAYS),
            plain_machine("m", DAYS, bookings=[booking]),
        ],
        tasks=[
            plain_task("late", "r", 2.0, 1.0, **rates, setups=["jack"], previous=before),
            plain_task("early", "r", 1.0, 6.0, **rates, setups=["jack"]),
            plain_task("waits", "m", 1.0, 2.0, **rates, blocks_rental=True),
        ],
    )
    problem = read_problem(case | {"weights": WEIGHTS})
    places = {"late": Spot(3, "w"), "early": Spot(3, "w")}
    return cost_counts(problem, places)


def test_each_term_counts_what_it_is_made_of():
    counts = told()
    assert counts == CostCounts(
        late_tasks=2,
        late_days=pytest.approx(14.0),  # two days late, and 7 + 7 - 2 for the one that waits
        early_tasks=1,
        early_days=pytest.approx(3.0),
        visits=1,
        shared_visits=1,
        setups=1,
        days_down=0.5,
        trips=1,
        sites=1,
        overtime_hours=pytest.approx(1.4),  # 1 + 0.4 + 3 less 3
        overtime_days=1,
        lost_bookings=1,
        other_day=1,
        other_mechanic=0,
        deferred=1,
    )


def test_each_term_is_said():
    said = cost_sentences(told())
    assert tuple(said) == TERMS
    assert said == {
        "overdue": "2 pieces of work after the due date, 14.0 days late expected in all",
        "waste": "1 piece of work before the due date, 3.0 days early expected in all",
        "visit": "1 visit, 1 of them for several pieces of work",
        "setup": "1 set-up, each counted once a visit",
        "downtime": "0.5 days of machines off hire",
        "trip": "1 trip to 1 remote yard",
        "overtime": "1.4 h of overtime over 1 mechanic day",
        "blocked_booking": "1 booking lost",
        "change": "1 piece of work moved off the day planned before, "
        "0 given to another mechanic only",
        "deferral": "1 piece of work put off beyond the plan",
    }
