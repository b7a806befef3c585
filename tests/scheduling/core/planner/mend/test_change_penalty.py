from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from scheduling.core.planner import read_problem
from scheduling.core.planner.mend.change_penalty import (
    ChangePenalty,
    default_move_price,
    most_standing,
    same_place,
    with_move_prices,
)
from scheduling.core.planner.problem.case import case_of
from scheduling.core.planner.problem.entities import Spot
from scheduling.core.planner.search.exact_model import Effort
from scheduling.core.planner.visits.visits import visits_of
from tests.benchmarks.plan_instances import (
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
    yard,
)
from tests.scheduling.core.planner.cases import yard_case

DAYS = 5
EFFORT = Effort(20.0, 20.0, 1, 0)
MOVES = [
    # before, after, how many times the price of a move (days 0 and 1 are frozen)
    (Spot(3, "w"), Spot(3, "w"), 0),
    (None, None, 0),
    (Spot(3, "w"), Spot(4, "w"), 1),
    (Spot(3, "w"), Spot(3, "x"), 1),
    (Spot(3, "w"), None, 1),
    (None, Spot(3, "w"), 1),
    (Spot(1, "w"), Spot(3, "w"), 2),
    (Spot(3, "w"), Spot(0, "w"), 2),
    (Spot(0, "w"), Spot(1, "w"), 3),
    (Spot(0, "w"), None, 2),
    (None, Spot(1, "w"), 2),
]


@pytest.mark.parametrize(("before", "after", "times"), MOVES)
def test_each_move_has_one_price_and_the_frozen_days_add_to_it(before, after, times):
    assert ChangePenalty(60.0, 2).times(before, after) == times


def one_task(before):
    case = instance(
        DAYS,
        yards=[plain_yard()],
        mechanics=[plain_mechanic(name, [8.0] * DAYS) for name in ("w", "x")],
        machines=[plain_machine("m", DAYS)],
        tasks=[plain_task("t", "m", 1.0, 2.0, previous=before)],
    )
    return case_of(read_problem(case))


@pytest.mark.parametrize("before", [None, {"day": 3, "mechanic": "x"}, {"day": 0, "mechanic": "w"}])
def test_the_visits_prices_are_those_of_the_moves_one_by_one(before):
    case, penalty = one_task(before), ChangePenalty(7.0, 2)
    stood = before and Spot(**before)
    (plain,) = visits_of(case)
    (priced,) = with_move_prices(case, [plain], penalty)
    for day in range(DAYS):
        for w, name in enumerate(("w", "x")):
            more = priced.cost[0, day, w] - plain.cost[0, day, w]
            assert more == pytest.approx(7.0 * penalty.times(stood, Spot(day, name)))
    more = priced.wait_cost[0] - plain.wait_cost[0]
    assert more == pytest.approx(7.0 * penalty.times(stood, None))


def crowded(hours, room):
    """Tasks that all stand on day 1 with one mechanic, who has `room` hours."""
    before = {"day": 1, "mechanic": "w"}
    return instance(
        DAYS,
        yards=[plain_yard()],
        mechanics=[plain_mechanic("w", [room] * DAYS)],
        machines=[plain_machine(f"m{n}", DAYS) for n in range(len(hours))],
        tasks=[plain_task(f"t{n}", f"m{n}", h, 1.0, previous=before) for n, h in enumerate(hours)],
    )


@pytest.mark.parametrize(
    ("hours", "room"),
    [
        ([1, 2, 3], 6.0),
        ([1, 2, 3], 5.0),
        ([5, 1, 1, 1], 5.0),
        ([4, 4, 4], 3.0),
        ([6, 1, 2, 2], 8.0),
    ],
)
def test_as_many_stay_as_can_and_that_number_is_proven(hours, room):
    """Against every set of tasks that could stay."""
    most = max(
        n
        for n in range(len(hours) + 1)
        if n == 0 or any(sum(kept) <= room for kept in combinations(hours, n))
    )
    standing = most_standing(*yard_case(crowded([float(h) for h in hours], room)), EFFORT)
    assert standing.least == len(hours) - most
    assert len(standing.draft.places()) == most


def test_where_all_can_stay_nothing_is_solved():
    standing = most_standing(*yard_case(crowded([1.0, 2.0], 8.0)), Effort(0.0, 0.0, 1, 0))
    assert standing.least == 0
    assert len(standing.draft.places()) == 2


def test_what_must_come_after_something_that_left_is_placed_anew_but_not_counted():
    case = crowded([2.0, 2.0], 8.0)
    case["machines"] = case["machines"][:1]
    case["tasks"][1] |= {"machine": "m0", "after": ["t0"], "previous": {"day": 2, "mechanic": "w"}}
    case["mechanics"][0]["hours"][1] = 0.0
    standing = most_standing(*yard_case(case), EFFORT)
    assert standing.least == 1
    assert standing.draft.places() == {}  # t1 may not stand before t0 has a place


def test_a_machine_with_more_sets_than_rows_proves_nothing():
    case = crowded([1.0] * 9, 3.0)
    case["machines"] = case["machines"][:1]
    case["tasks"] = [t | {"machine": "m0"} for t in case["tasks"]]
    made, machines = yard_case(case)
    few = [replace(v, **{n: getattr(v, n)[:9] for n in ROWS}) for v in machines]
    assert most_standing(made, few, EFFORT).least == 0


ROWS = ("masks", "member", "time", "time_low", "halves", "bare", "cost", "lost", "need")


def test_who_is_second_is_no_move():
    assert same_place(Spot(1, "w", "x"), Spot(1, "w"))
    assert not same_place(Spot(1, "w"), Spot(1, "x"))
    assert not same_place(Spot(1, "w"), None)
    assert same_place(None, None)


def test_a_move_costs_three_changes_or_else_a_mean_visit():
    case = yard(machines=5, mechanics=1, days=5, seed=1)
    assert default_move_price(read_problem(case)) == 60.0
    free = case | {"weights": case["weights"] | {"change_cost": 0.0}}
    visits = np.mean([m["visit_cost"] for m in case["machines"]])
    assert default_move_price(read_problem(free)) == pytest.approx(visits)
    assert default_move_price(read_problem(free | {"machines": [], "tasks": []})) == 1.0
