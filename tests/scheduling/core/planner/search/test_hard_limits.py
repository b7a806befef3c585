"""Limits, pins and frozen places: kept where that is possible, else the fewest are given up."""

import pytest

from scheduling.core.planner.plan.greedy import greedy_plan
from scheduling.core.planner.search.exact_model import Effort
from scheduling.core.planner.search.hard_limits import keep_most
from scheduling.wording import clash_reason, limit_words
from tests.benchmarks.plan_instances import (
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
    small,
    yard,
)
from tests.benchmarks.plan_packing import items, shop_of
from tests.plan_check import check
from tests.scheduling.core.planner.cases import IDS, plan, why, yard_case


def said(clash):
    """What had to be kept, and what stands in the way."""
    return limit_words(clash.limit, IDS), clash_reason(clash, IDS)


def one_mechanic(days, hours, tasks, **fields):
    return instance(
        days,
        yards=[plain_yard(closed=fields.pop("closed", ()))],
        mechanics=[plain_mechanic("w", [hours] * days)],
        machines=[plain_machine(t["machine"], days, **fields) for t in tasks],
        tasks=tasks,
    )


def limited(count, hours=4.0, limit=1):
    rates = {"limit_day": limit, "overdue_cost_per_day": 5.0}
    return [plain_task(f"t{n}", f"m{n}", hours, 3.0, **rates) for n in range(count)]


def test_limits_that_fit_only_exactly_are_all_kept():
    """Four tasks of 4 h by day 1, two days of 8 h: greedy or not, all four fit."""
    case = one_mechanic(6, 8.0, limited(4))
    result = plan(case)
    assert result.feasible
    assert check(case, result.to_dict()).faults == []


def test_one_limit_too_many_gives_up_exactly_one_and_says_which_and_why():
    case = one_mechanic(6, 8.0, limited(5))
    result = plan(case)
    (clash,) = result.clashes
    assert result.fewest
    assert said(clash)[0] == "hard limit on day 1"
    assert "w has 8 of 8 h taken by" in said(clash)[1]
    late = {a.task: a.day for a in result.assignments}[clash.task]
    assert late > 1  # given up, but still done
    assert check(case, result.to_dict()).rules() == {"limit"}


def test_a_limit_that_has_passed_is_a_clash():
    case = one_mechanic(3, 8.0, limited(1, limit=-1))
    (clash,) = plan(case).clashes
    assert said(clash)[1] == "no day is left before the limit"


def test_a_limit_on_closed_days_names_them():
    case = one_mechanic(5, 8.0, limited(1), closed=(0, 1))
    (clash,) = plan(case).clashes
    assert said(clash)[1] == "days 0 to 1: yard y is closed"


def test_days_with_one_reason_are_named_together():
    out = {"id": "b", "first_day": 0, "last_day": 4, "value": 1.0}
    case = one_mechanic(9, 8.0, limited(1, limit=4), closed=(1, 3), bookings=[out])
    (clash,) = plan(case).clashes
    assert said(clash)[1] == (
        "day 0, day 2, day 4: the machine is booked out days 0 to 4 (b); "
        "day 1, day 3: yard y is closed"
    )


def test_a_pin_while_the_machine_is_out_names_the_booking():
    out = {"id": "b", "first_day": 0, "last_day": 2, "value": 1.0}
    task = plain_task("t", "m", 1.0, 1.0, pin={"day": 1, "mechanic": None})
    (clash,) = plan(one_mechanic(5, 8.0, [task], bookings=[out])).clashes
    booked = "day 1: the machine is booked out days 0 to 2 (b)"
    assert said(clash) == ("pin on day 1", booked)


def test_a_skill_that_nobody_has_is_named():
    task = plain_task("t", "m", 1.0, 1.0, limit_day=2, skill="diving")
    (clash,) = plan(one_mechanic(5, 8.0, [task])).clashes
    assert "skill diving" in said(clash)[1]


def test_pins_are_kept_at_any_price():
    case = small(0)
    case["tasks"][0]["pin"] = {"day": 3, "mechanic": "w1"}
    result = plan(case)
    assert check(case, result.to_dict()).faults == []
    (place,) = [a for a in result.assignments if a.task == "t0"]
    assert (place.day, place.mechanic, why(place)[:17]) == (3, "w1", "It is pinned here")


def test_frozen_days_keep_what_stood_there_and_take_nothing_new():
    case = yard(machines=12, mechanics=2, days=10, seed=2)
    first = plan(case, seconds=3)
    stood = {a.task: {"day": a.day, "mechanic": a.mechanic} for a in first.assignments}
    frozen = {task for task, spot in stood.items() if spot["day"] < 3}
    again = case | {"frozen_days": 3}
    for task in again["tasks"]:
        task["previous"] = stood.get(task["id"]) if task["id"] in frozen else None
    result = plan(again, seconds=3)
    assert check(again, result.to_dict()).faults == []
    assert {a.task for a in result.assignments if a.day < 3} == frozen
    assert frozen


def test_work_that_must_leave_its_frozen_place_pays_for_the_move_in_what_is_proven():
    stood = {"day": 0, "mechanic": "w"}
    task = plain_task("t", "m", 1.0, 4.0, previous=stood, overdue_cost_per_day=50.0)
    case = one_mechanic(6, 8.0, [task], closed=(0,)) | {"frozen_days": 1}
    result = plan(case)
    assert [said(clash)[0] for clash in result.clashes] == ["settled place on day 0 with w"]
    assert result.cost["change"] == case["weights"]["change_cost"]
    assert result.stopped == "optimal"
    assert result.bound == pytest.approx(result.total)


def test_one_planned_limit_gives_way_to_two_others():
    """Eight hours for either one task of 8 h, which is the most urgent, or two of 4 h."""
    (long,) = limited(1, hours=8.0, limit=0)
    short = [t | {"limit_day": 0} for t in limited(3)[1:]]
    result = plan(one_mechanic(3, 8.0, [long | {"due": {"p10": -5, "p50": -5, "p90": -5}}, *short]))
    assert [clash.task for clash in result.clashes] == ["t0"]
    assert result.fewest


def test_limits_that_fill_the_days_are_kept_longest_work_first_without_a_solver():
    """250 sizes in as many bins as first fit decreasing needs; in due order they do not fit."""
    made, machines = yard_case(shop_of(*items("uniform", 250, 1)))
    assert greedy_plan(made, machines).unkept()
    kept = keep_most(made, Effort(0.0, 0.0, 1, 0))
    assert kept.unkept == ()
    assert kept.proven
