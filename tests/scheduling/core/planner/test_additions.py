"""Each addition to the format does what it says, and what it costs or saves has a known sign."""

from copy import deepcopy

import pytest

from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
    small,
    sprinkled,
)
from tests.plan_check import check
from tests.scheduling.core.planner.cases import plan, proven, why

CENT = 0.005


def shop(tasks, days=6, mechanics=None, yard=None, **machine):
    """A shop with nothing but machines of these tasks, in which only what is named has a price."""
    names = dict.fromkeys(t["machine"] for t in tasks)
    case = instance(
        days,
        yards=[plain_yard() | (yard or {})],
        sites=[{"id": "ranch", "yard": "y", "travel_hours": 1.0, "trip_cost": 50.0}],
        mechanics=mechanics or [plain_mechanic("w", [8.0] * days)],
        machines=[plain_machine(name, days, **machine) for name in names],
        tasks=tasks,
    )
    return case | {"weights": free_weights() | {"half_day_hours": 4.0, "deferred_days": 60}}


def due(name, day, hours=2.0, machine="m", **fields):
    """A task that is best done on `day`."""
    rates = {"overdue_cost_per_day": 10.0, "waste_cost_per_day": 10.0}
    return plain_task(name, machine, hours, day, **rates | fields)


def solved(case):
    """The plan of a case by task, which must be sound and proven."""
    result = plan(case)
    assert check(case, result.to_dict()).faults == []
    assert result.stopped == "optimal"
    return {a.task: a for a in result.assignments}, result


def test_a_follower_waits_for_its_forerunner_or_joins_it():
    places, _ = solved(shop([due("a", 3), due("b", 1, after=["a"])], visit_cost=1.0))
    assert places["a"].day == places["b"].day
    places, _ = solved(shop([due("a", 3), due("b", 1, after=["a"], apart=["a"])], visit_cost=1.0))
    assert places["a"].day < places["b"].day


def test_a_follower_is_put_off_with_its_forerunner():
    part = {"part": "p", "quantity": 1}
    case = shop([due("a", 3, parts=[part]), due("b", 1, after=["a"])])
    case["parts"] = [{"id": "p", "yard": "y", "on_hand": 0, "arrivals": []}]
    places, result = solved(case)
    assert not places
    assert set(result.deferred) == {"a", "b"}


def test_a_forerunner_of_a_limited_task_is_done_though_nothing_else_asks_for_it():
    early = {"waste_cost_per_day": 100.0, "overdue_cost_per_day": 0.0}
    case = shop([due("a", 30, **early), due("b", 2, after=["a"], limit_day=2)])
    places, _ = solved(case)
    assert places["a"].day <= places["b"].day <= 2


def test_a_second_person_is_another_with_the_skill_who_has_the_hours():
    crew = [
        plain_mechanic("one", [8.0] * 6),
        plain_mechanic("two", [8.0] * 3 + [0.5] + [8.0] * 2, skills=["general", "lifting"]),
    ]
    task = due("a", 3, second={"skill": "lifting", "hours": 1.0})
    places, _ = solved(shop([task], mechanics=crew))
    assert (places["a"].mechanic, places["a"].second) == ("one", "two")
    assert places["a"].day in (2, 4)  # on day 3 the second has half an hour


def test_the_second_person_travels_too():
    crew = [plain_mechanic("one", [8.0] * 6), plain_mechanic("two", [8.0] * 6)]
    task = due("a", 3, second={"skill": "general", "hours": 1.0})
    _, result = solved(shop([task], mechanics=crew, site="ranch"))
    assert result.cost["trip"] == 100.0


def test_work_over_several_days_passes_days_off_and_is_due_on_its_last():
    hours = [8.0, 8.0, 0.0, 8.0, 8.0, 8.0]
    crew = [plain_mechanic("w", hours)]
    task = due("a", 4, hours=20.0, several_days=True)
    places, result = solved(
        shop([task], mechanics=crew, yard={"closed_days": [3]}, day_rate=7.0, demand=[1.0] * 6)
    )
    assert (places["a"].day, places["a"].last_day) == (0, 4)
    assert result.cost["downtime"] == 35.0  # days 0 to 4, the closed one too
    assert result.cost["overdue"] + result.cost["waste"] == 0.0


def test_the_machine_is_in_one_visit_at_a_time_and_holds_its_bay():
    long = due("a", 3, hours=30.0, several_days=True)
    crew = [plain_mechanic("w", [8.0] * 6), plain_mechanic("v", [8.0] * 6)]
    other = due("b", 2, machine="n")
    tasks = [long, due("c", 2, apart=["a"]), other]
    places, _ = solved(shop(tasks, mechanics=crew, yard={"bays": 1}))
    start, end = places["a"].day, places["a"].last_day
    assert end - start == 3
    assert all(not start <= places[name].day <= end for name in ("b", "c") if name in places)


def test_a_booking_may_not_touch_the_stay():
    out = [{"id": "b", "first_day": 3, "last_day": 3, "value": 1.0}]
    task = due("a", 2, hours=16.0, several_days=True)
    places, _ = solved(shop([task], bookings=out))
    assert (places["a"].day, places["a"].last_day) in {(1, 2), (0, 1)}


def test_a_loaned_bay_serves_and_a_lent_one_is_missed():
    tasks = [due(f"t{n}", 2, hours=5.0, machine=f"m{n}") for n in range(2)]
    crew = [plain_mechanic(f"w{n}", [8.0] * 6) for n in range(2)]
    loaned = {"bays": 1, "loaned_bays": [0, 0, 1, 0, 0, 0]}
    places, _ = solved(shop(tasks, mechanics=crew, yard=loaned))
    assert [a.day for a in places.values()] == [2, 2]
    lent = {"bays": 1, "loaned_bays": [0, 0, -3, 0, 0, 0]}
    places, _ = solved(shop(tasks, mechanics=crew, yard=lent))
    assert sorted(a.day for a in places.values()) == [1, 3]


def test_a_part_is_counted_on_its_late_date():
    case = shop([due("a", 2, parts=[{"part": "p", "quantity": 1}])])
    arrival = {"day": 2, "latest_day": 5, "quantity": 1}
    case["parts"] = [{"id": "p", "yard": "y", "on_hand": 0, "arrivals": [arrival]}]
    places, _ = solved(case)
    assert places["a"].day == 5
    assert "p may not arrive until day 5" in why(places["a"])


def lay_a_bay_in(case):
    case["yards"][0]["loaned_bays"] = [1] * case["horizon_days"]


def let_parts_slip(case):
    for part in case["parts"]:
        for arrival in part["arrivals"]:
            arrival["latest_day"] = arrival["day"] + 1


def shut_the_ranch(case):
    case["sites"][0]["closed_days"] = [1]


def follow(case):
    for first, then in zip(case["tasks"][::2], case["tasks"][1::2], strict=True):
        first["after"] = [then["id"]]


def keep_apart(case):
    for first, then in zip(case["tasks"][::2], case["tasks"][1::2], strict=True):
        first["apart"] = [then["id"]]


def send_two(case):
    for task in case["tasks"][::2]:
        task["second"] = {"skill": "general", "hours": 0.5}


DEARER = [let_parts_slip, shut_the_ranch, follow, keep_apart, send_two]


@pytest.mark.parametrize("change", DEARER)
@pytest.mark.parametrize("seed", range(30, 34))
def test_a_rule_more_never_costs_less(seed, change):
    case = small(seed)
    before = proven(case)
    change(case)
    result = plan(case)
    assert check(case, result.to_dict()).faults == []
    assert result.total >= before - CENT


@pytest.mark.parametrize("seed", range(30, 36))
def test_a_loaned_bay_never_costs_more(seed):
    case = small(seed, mechanics=3)
    before = proven(case)
    lay_a_bay_in(case)
    assert proven(case) <= before + CENT


@pytest.mark.parametrize("seed", range(3))
def test_a_yard_with_all_of_it_gets_a_sound_plan(seed):
    case = sprinkled(30, 2, 14, seed)
    result = plan(case, seconds=3.0)
    report = check(case, result.to_dict())
    assert report.rules() <= ({"limit"} if result.clashes else set())
    assert report.total == pytest.approx(result.total, abs=0.01)
    assert result.bound <= result.total + CENT
    assert all(why(a).endswith(".") for a in result.assignments)
    for term, money in result.cost.items():
        assert report.cost[term] == pytest.approx(money, abs=0.01), term


def test_the_same_plan_made_again_moves_nothing():
    case = sprinkled(8, 2, 10, 3)
    first = plan(case)
    again = deepcopy(case)
    stood = {a.task: {"day": a.day, "mechanic": a.mechanic} for a in first.assignments}
    for task in again["tasks"]:
        task["previous"] = stood.get(task["id"])
    result = plan(again)
    assert result.cost["change"] == 0.0
