"""How the least cost must answer when the case is changed, whatever it is."""

from copy import deepcopy

import pytest

from tests.benchmarks.plan_instances import small, yard
from tests.scheduling.core.planner.cases import plan, proven
from tests.scheduling.core.planner.changes import scaled, shifted

CENT = 0.005


def cases():
    return [*(small(seed) for seed in range(20, 24)), yard(9, 1, 10, seed=5, load=0.7)]


def more_hours(case):
    for mechanic in case["mechanics"]:
        mechanic["hours"] = [h + 1 if h else 0 for h in mechanic["hours"]]


def more_stock(case):
    for part in case["parts"]:
        part["on_hand"] += 1


def more_bays(case):
    for place in case["yards"]:
        place["bays"] += 1


def later_limits(case):
    for task in case["tasks"]:
        if task["limit_day"] is not None:
            task["limit_day"] += 1


def one_booking_less(case):
    for machine in case["machines"]:
        machine["bookings"] = machine["bookings"][1:]


@pytest.mark.parametrize(
    "relax", [more_hours, more_stock, more_bays, later_limits, one_booking_less]
)
@pytest.mark.parametrize("case", cases(), ids=range(5))
def test_more_room_never_costs_more(case, relax):
    before = proven(case)
    wider = deepcopy(case)
    relax(wider)
    assert proven(wider) <= before + CENT


@pytest.mark.parametrize("factor", [0.001, 1000.0])
def test_dearer_money_scales_the_cost(factor):
    case = small(21)
    assert proven(scaled(case, factor)) == pytest.approx(factor * proven(case), rel=1e-6)


def test_a_closed_week_in_front_changes_nothing_but_dates():
    case = small(22)
    now, later = plan(case), plan(shifted(case, 7))
    assert later.stopped == "optimal"
    assert later.total == pytest.approx(now.total, abs=1e-6)


def with_previous(case, result):
    again = deepcopy(case)
    stood = {a.task: {"day": a.day, "mechanic": a.mechanic} for a in result.assignments}
    for task in again["tasks"]:
        task["previous"] = stood.get(task["id"])
    return again


@pytest.mark.parametrize(
    ("case", "limits"),
    [
        (small(23), {}),
        (yard(9, 1, 10, seed=5, load=0.7), {}),
        (yard(60, 2, 21, seed=8), {"seconds": 3.0}),  # too large for proof in the time
    ],
    ids=["small", "proven", "timed"],
)
def test_a_plan_made_again_from_itself_moves_nothing(case, limits):
    first = plan(case, **limits)
    again = plan(with_previous(case, first), **limits)
    places = {(a.task, a.day, a.mechanic) for a in first.assignments}
    if {(a.task, a.day, a.mechanic) for a in again.assignments} != places:
        # A plan that was cut off may make way for one that is cheaper, changes counted, and proven
        # to be the cheapest; for nothing less.
        assert (first.stopped, again.stopped) == ("time", "optimal")
        assert again.total < first.total - CENT
    else:
        assert again.cost["change"] == 0
