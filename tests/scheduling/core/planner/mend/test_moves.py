import json

import pytest

from scheduling.core.planner.problem.entities import Spot
from scheduling.trial.plain_json import to_plain
from tests.benchmarks.plan_instances import plain_mechanic
from tests.scheduling.core.planner.cases import why_moved
from tests.scheduling.core.planner.mend.test_mended_plan import DAYS, away, bench, job, mended

FILTER = {"id": "p", "yard": "y", "on_hand": 0, "arrivals": [{"day": 3, "quantity": 1}]}


def gone(case):
    case["mechanics"][0]["skills"] = ["electric"]


def booked(case):
    booking = {"id": "b", "first_day": 0, "last_day": 2, "value": 1.0}
    case["machines"][0]["bookings"] = [booking]


def late_part(case):
    case["parts"] = [FILTER]
    case["tasks"][0]["parts"] = [{"part": "p", "quantity": 1}]


def shut(case):
    case["yards"][0]["closed_days"] = [1]


def no_bay(case):
    case["yards"][0]["loaned_bays"] = [0, -1000, *[0] * (DAYS - 2)]


def longer(case):
    case["tasks"].append(job(7, 1, 8.0, pin={"day": 1, "mechanic": None}))
    case["machines"].append(case["machines"][0] | {"id": "m7"})


BREAKS = [
    (gone, "w does not have the skill general"),
    (booked, "the machine is booked out days 0 to 2 (b)"),
    (late_part, "p does not arrive until day 3"),
    (shut, "yard y is closed"),
    (no_bay, "there is no bay"),
    (longer, "w has 8 of 8 h taken"),
]


@pytest.mark.parametrize(("breaks", "words"), BREAKS)
def test_a_move_names_what_takes_its_place_away(breaks, words):
    case = bench(job(0, 1))
    case["mechanics"][1] = plain_mechanic("x", [8.0] * DAYS) | {"skills": ["general"]}
    breaks(case)
    (move,) = mended(case).moves
    assert why_moved(move).startswith(f"It cannot stay on day 1 with w: {words}. ")


def test_moves_are_listed_by_the_day_that_they_leave():
    case = bench(job(0, 5), job(1, 2), job(2, None, overdue_cost_per_day=50.0), hours=away(2, 5))
    moves = mended(case).moves
    assert [(m.task, m.before) for m in moves][-1] == ("t0", Spot(5, "w"))
    assert {m.task for m in moves} == {"t0", "t1", "t2"}
    json.dumps([to_plain(m) for m in moves])


def test_what_could_stay_but_for_what_others_take_now_says_what_that_is():
    """One filter lies there; t1 is pinned and takes it on another day, so t0 has to wait."""
    part = FILTER | {"on_hand": 1, "arrivals": []}
    takes = [{"part": "p", "quantity": 1}]
    pinned = job(1, None, pin={"day": 3, "mechanic": None}, parts=takes)
    case = bench(job(0, 1, parts=takes), pinned) | {"parts": [part]}
    move = next(m for m in mended(case).moves if m.task == "t0")
    assert move.after is None
    said = "It gives way on day 1 with w: there is not enough p left, and no more is on the way. "
    assert why_moved(move).startswith(said)


def test_what_moves_though_its_place_is_free_says_that_this_costs_less():
    """x comes back, and its work of the same visit is worth the way there."""
    fetched = job(1, 4, overdue_cost_per_day=500.0) | {"machine": "m0"}
    case = bench(job(0, 2, 2.0), fetched | {"hours": 2.0}, hours=away(4))
    case["machines"] = [case["machines"][0] | {"visit_cost": 100.0}]
    case["tasks"][1]["due"] = {"p10": 0, "p50": 0, "p90": 0}
    moves = {m.task: m for m in mended(case).moves}
    assert why_moved(moves["t0"]).startswith("It could stay, but moving it costs less. ")
