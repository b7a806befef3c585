import pytest

from scheduling.core.planner import read_problem
from scheduling.core.planner.plan.cost import TERMS, blocked_bookings, price
from scheduling.core.planner.problem.entities import Spot
from tests.benchmarks.plan_instances import yard
from tests.plan_check import check
from tests.scheduling.core.planner.cases import random_places


@pytest.mark.parametrize("seed", range(4))
def test_any_places_are_priced_as_the_independent_checker_prices_them(seed):
    """Places at random break rules, but each term of their price is still defined."""
    case = yard(machines=30, mechanics=3, days=14, seed=seed)
    problem = read_problem(case)
    places = random_places(case, seed)
    cost = price(problem, places)
    rows = [{"task": t, "day": s.day, "mechanic": s.mechanic} for t, s in places.items()]
    waiting = [t for t in problem.tasks if t not in places]
    lost = blocked_bookings(problem, places)
    made = {"assignments": rows, "deferred": waiting, "blocked_bookings": lost}
    report = check(case, made)
    assert "blocked" not in report.rules()
    assert cost == pytest.approx({term: report.cost[term] for term in TERMS})


def test_moving_only_the_mechanic_costs_a_share_of_moving_the_day():
    case = yard(machines=1, mechanics=2, days=7, seed=1)
    case["tasks"][0]["previous"] = {"day": 2, "mechanic": "w0"}
    problem, task = read_problem(case), case["tasks"][0]["id"]
    changes = [
        price(problem, {task: Spot(*s)})["change"] for s in [(2, "w0"), (2, "w1"), (3, "w0")]
    ]
    assert changes == [0.0, 5.0, 20.0]
