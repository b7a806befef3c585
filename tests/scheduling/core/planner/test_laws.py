"""Laws that the least cost obeys whatever the case, on cases drawn by hypothesis.

`test_metamorphic` holds the same kind of law on fixed and larger cases.
"""

from copy import deepcopy

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plan_check import check
from tests.scheduling.core.planner.cases import plan, proven
from tests.scheduling.core.planner.changes import MORE_ROOM, renamed, scaled, shifted
from tests.scheduling.core.planner.drawn import cases

CENT = 0.005
MANY = settings(max_examples=60, deadline=None, derandomize=True)
FEW = settings(max_examples=30, deadline=None, derandomize=True)

free_cases = cases(most_tasks=5, limits=False)
"""Cases of which every one has a plan: nothing in them has to be done."""


@FEW
@given(case=free_cases)
def test_more_room_never_costs_more_and_less_work_neither(case):
    """Read backwards: an added task, an added booking or a closed day never makes it cheaper."""
    before = proven(case)
    for change in MORE_ROOM:
        wider = deepcopy(case)
        change(wider)
        assert proven(wider) <= before + CENT, change.__name__


@MANY
@given(case=cases(), room=st.integers(0, 4))
def test_a_later_limit_never_costs_more_and_a_kept_one_can_be_kept_later(case, room):
    before = plan(case)
    later = deepcopy(case)
    for task in later["tasks"]:
        if task["limit_day"] is not None:
            task["limit_day"] += room
    after = plan(later)
    assert len(after.clashes) <= len(before.clashes)
    if before.feasible:
        assert after.total <= before.total + CENT


@MANY
@given(case=cases(), order=st.randoms(use_true_random=False))
def test_names_and_order_change_nothing(case, order):
    first, second = plan(case), plan(renamed(case, order))
    assert len(second.clashes) == len(first.clashes)
    if first.feasible:
        assert second.total == pytest.approx(first.total, abs=CENT)


@MANY
@given(case=cases(), data=st.data())
def test_a_pin_on_the_chosen_day_changes_nothing(case, data):
    first = plan(case)
    if not first.feasible or not first.assignments:
        return
    chosen = data.draw(st.sampled_from(first.assignments))
    pinned = deepcopy(case)
    for task in pinned["tasks"]:
        if task["id"] == chosen.task:
            task["pin"] = {"day": chosen.day, "mechanic": chosen.mechanic}
    assert proven(pinned) == pytest.approx(first.total, abs=CENT)


@MANY
@given(case=free_cases, factor=st.sampled_from([0.01, 0.125, 3.0, 1000.0]))
def test_dearer_money_scales_the_cost(case, factor):
    assert proven(scaled(case, factor)) == pytest.approx(factor * proven(case), rel=1e-6, abs=1e-6)


@FEW
@given(case=cases())
def test_a_plan_made_again_from_itself_moves_nothing(case):
    for task in case["tasks"]:
        task["previous"] = None
    first = plan(case)
    if not first.feasible:
        return
    places = {a.task: {"day": a.day, "mechanic": a.mechanic} for a in first.assignments}
    for task in case["tasks"]:
        task["previous"] = places.get(task["id"])
    again = plan(case)
    assert {a.task: {"day": a.day, "mechanic": a.mechanic} for a in again.assignments} == places


@FEW
@given(case=free_cases)
def test_never_dearer_than_yesterdays_plan_at_todays_prices(case):
    """Yesterday's plan was made for the same shop under other prices."""
    yesterday = plan(scaled(case, 1.0) | {"weights": case["weights"] | {"goodwill_cost": 0.0}})
    places = {a.task: {"day": a.day, "mechanic": a.mechanic} for a in yesterday.assignments}
    for task in case["tasks"]:
        task["previous"] = places.get(task["id"])
    standing = check(case, yesterday.to_dict())
    assert standing.faults == []
    assert plan(case).total <= standing.total + CENT


@MANY
@given(case=cases(), days=st.sampled_from([1, 7]))
def test_closed_days_in_front_change_nothing_but_dates(case, days):
    """Bookings that began today are left out: no work keeps those in, but later ones it does."""
    for machine in case["machines"]:
        machine["bookings"] = [b for b in machine["bookings"] if b["first_day"] > 0]
    now, later = plan(case), plan(shifted(case, days))
    assert len(later.clashes) == len(now.clashes)
    if now.feasible:
        assert later.total == pytest.approx(now.total, abs=CENT)
