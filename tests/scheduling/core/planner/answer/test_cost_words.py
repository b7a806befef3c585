from scheduling.core.planner import read_problem
from scheduling.core.planner.answer.cost_words import term_lines
from scheduling.core.planner.plan.cost import TERMS, price
from scheduling.core.planner.problem.entities import Spot
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
    cost = price(problem, places)
    return {line.term: line for line in term_lines(problem, places, cost)}, cost


def test_each_term_counts_what_it_is_made_of():
    lines, cost = told()
    assert tuple(lines) == TERMS
    assert {term: line.money for term, line in lines.items()} == cost
    assert {term: line.words for term, line in lines.items()} == {
        # two days late, and 7 + 7 - 2 for the one that waits
        "overdue": "2 pieces of work after the due date, 14.0 days late expected in all",
        "waste": "1 piece of work before the due date, 3.0 days early expected in all",
        "visit": "1 visit, 1 of them with several pieces of work",
        "setup": "1 set-up, each once a visit",
        "downtime": "0.5 days of machines out of rental",
        "trip": "1 trip to 1 ranch",
        "overtime": "1.4 h of overtime on 1 day of mechanics",  # 1 + 0.4 + 3 less 3
        "blocked_booking": "1 booking given up",
        "change": "1 piece of work off the day on which it stood, 0 with another mechanic only",
        "deferral": "1 piece of work put off past the plan",
    }
