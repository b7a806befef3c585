"""Instances that cannot be meant are refused, with the field and the id in the sentence."""

from copy import deepcopy

import pytest

from scheduling.core.planner import InstanceError, read_problem
from tests.benchmarks.plan_instances import small, yard


def changed(path: str, value: object) -> dict:
    """A sound case in which the field at `path` ("tasks.0.hours") has another value."""
    case = deepcopy(small(1))
    *way, last = path.split(".")
    row = case
    for step in way:
        row = row[int(step)] if step.isdigit() else row[step]
    if value is MISSING:
        del row[last]
    else:
        row[int(last) if last.isdigit() else last] = value
    return case


MISSING = object()
SOMEWHERE = {"day": 1, "mechanic": "w0"}

BAD = [
    ("format", "shop-plan-2", "format"),
    ("format", MISSING, "format: is missing"),
    ("horizon_days", 0, "horizon_days: 0 is below 1"),
    ("horizon_days", 4.5, "horizon_days: must be a whole number"),
    ("horizon_days", True, "horizon_days"),
    ("horizon_days", 5, "hours: must hold 5 numbers"),  # every list by day is then too short
    ("frozen_days", 9, "frozen_days: 9 is above 4"),
    ("frozen_days", -1, "frozen_days"),
    ("weights", [], "weights: must be an object"),
    ("weights.goodwill_cost", MISSING, "weights.goodwill_cost: is missing"),
    ("weights.mechanic_change_share", 1.5, "weights.mechanic_change_share"),
    ("yards", None, "yards: must be a list"),
    ("yards.0.bays", -1, r"yards\[y\].bays: -1 is below 0"),
    ("yards.0.closed_days", ["Monday"], r"yards\[y\].closed_days"),
    ("yards.0.id", 7, r"yards\[7\].id: must be a text"),
    ("yards.0.id", "other", "is not among the yards"),
    ("sites.0.travel_hours", float("nan"), r"sites\[ranch\].travel_hours: must be a finite"),
    ("sites.0.trip_cost", "dear", r"sites\[ranch\].trip_cost: must be a number"),
    ("mechanics.0.hours", [8.0], r"mechanics\[w0\].hours: must hold 4 numbers"),
    ("mechanics.0.hours.2", -1.0, r"mechanics\[w0\].hours: day 2"),
    ("mechanics.0.hours.2", None, r"mechanics\[w0\].hours: day 2"),
    ("mechanics.0.skills", [1], r"mechanics\[w0\].skills"),
    ("mechanics.1.id", "w0", r"mechanics\[w0\].id: is there twice"),
    ("mechanics.0.overtime_limit_hours", float("inf"), "overtime_limit_hours: must be a finite"),
    ("mechanics.0.extra_overtime_hours", [1.0], "extra_overtime_hours: must hold 4 numbers"),
    ("mechanics.0.extra_overtime_hours", [0, 0, -1, 0], "extra_overtime_hours: day 2"),
    ("parts.0.arrivals", [{"day": 1}], r"arrivals\[0\].quantity: is missing"),
    ("parts.0.on_hand", -2, r"parts\[filter\].on_hand"),
    ("setups.0.hours", -0.1, r"setups\[jack\].hours"),
    ("machines.0.demand.1", 1.2, r"machines\[m0\].demand: day 1 must be a number, 0 to 1"),
    ("machines.0.yard", "nowhere", r"machines\[m0\].yard: 'nowhere' is not among the yards"),
    ("machines.0.site", "moon", r"machines\[m0\].site: 'moon' is not among the sites"),
    ("machines.0.day_rate", None, r"machines\[m0\].day_rate: must be a number"),
    (
        "machines.0.bookings",
        [{"id": "b", "first_day": 3, "last_day": 2, "value": 1.0}],
        r"bookings\[b\].last_day: 2 is before first_day 3",
    ),
    (
        "machines.0.bookings",
        [{"id": "b", "first_day": 1, "last_day": 2, "value": 1.0}] * 2,
        r"bookings\[b\].id: is there twice",
    ),
    ("tasks.0", "t0", r"tasks\[0\]: must be an object"),
    ("tasks.0.machine", "m9", r"tasks\[t0\].machine: 'm9' is not among the machines"),
    ("tasks.0.hours", -1.0, r"tasks\[t0\].hours: -1 is below 0"),
    ("tasks.0.hours", "2", r"tasks\[t0\].hours: must be a number"),
    (
        "tasks.0.due",
        {"p10": 2, "p50": 1, "p90": 3},
        r"tasks\[t0\].due: p10, p50, p90 must not fall",
    ),
    ("tasks.0.due", {"p10": 2, "p50": 3}, r"tasks\[t0\].due.p90: is missing"),
    ("tasks.0.limit_day", 2.5, r"tasks\[t0\].limit_day: must be a whole number"),
    ("tasks.0.not_before", 2.5, r"tasks\[t0\].not_before: must be a whole number"),
    ("tasks.0.setups", ["crane"], r"tasks\[t0\].setups: 'crane' is not among the setups"),
    ("tasks.0.parts", [{"part": "nut", "quantity": 1}], "'nut' is not among the parts"),
    ("tasks.0.parts", [{"part": "filter", "quantity": -1}], r"parts\[0\].quantity"),
    ("tasks.0.blocks_rental", "yes", r"tasks\[t0\].blocks_rental: must be true or false"),
    ("tasks.1.id", "t0", r"tasks\[t0\].id: is there twice"),
    ("tasks.0.previous", {"day": 1, "mechanic": "w9"}, r"previous.mechanic: 'w9' is not among"),
    ("tasks.0.previous", {"day": 1, "mechanic": None}, r"previous.mechanic: must be a text"),
    ("tasks.0.pin", {"day": 4, "mechanic": None}, r"pin.day: 4 is past the last day, 3"),
    ("tasks.0.pin", {"day": -1, "mechanic": None}, r"pin.day: -1 is below 0"),
    ("tasks.0.pin", {"day": 1, "mechanic": "w9"}, r"pin.mechanic: 'w9' is not among"),
]


BAD_ADDITIONS = [
    ("yards.0.loaned_bays", [1, 1], r"yards\[y\].loaned_bays: must hold 4 numbers"),
    ("yards.0.loaned_bays", [0, 1, 0.5, 0], r"loaned_bays: day 2 must be a whole number, not 0.5"),
    ("yards.0.loaned_bays", 1, r"loaned_bays: must be a list"),
    ("sites.0.closed_days", ["Monday"], r"sites\[ranch\].closed_days: must be a list of whole"),
    ("parts.0.arrivals.0.latest_day", 2.5, r"arrivals\[0\].latest_day: must be a whole number"),
    ("tasks.0.after", "t1", r"tasks\[t0\].after: must be a list"),
    ("tasks.0.after", ["t99"], r"tasks\[t0\].after: 't99' is not among the tasks"),
    ("tasks.0.after", ["t0"], r"tasks\[t0\].after: names the task itself"),
    ("tasks.0.after", ["t2"], r"after: 't2' is on machine 'm1', but 't0' on 'm0'"),
    ("tasks.0.apart", [7], r"tasks\[t0\].apart: must be a list of texts"),
    ("tasks.0.apart", ["t99"], r"tasks\[t0\].apart: 't99' is not among the tasks"),
    ("tasks.0.apart", ["t0"], r"tasks\[t0\].apart: names the task itself"),
    ("tasks.0.apart", ["t2"], r"apart: 't2' is on machine 'm1', but 't0' on 'm0'"),
    ("tasks.0.second", "w1", r"tasks\[t0\].second: must be an object"),
    ("tasks.0.second", {"hours": 1}, r"tasks\[t0\].second.skill: is missing"),
    ("tasks.0.second", {"skill": "general"}, r"tasks\[t0\].second.hours: is missing"),
    ("tasks.0.second", {"skill": "general", "hours": 0}, "second.hours: must be above 0"),
    ("tasks.0.second", {"skill": "general", "hours": -1}, "second.hours: -1 is below 0"),
    ("tasks.0.several_days", 2, r"tasks\[t0\].several_days: must be true or false"),
]


@pytest.mark.parametrize(("path", "value", "message"), [*BAD, *BAD_ADDITIONS])
def test_a_malformed_instance_names_the_field(path, value, message):
    with pytest.raises(InstanceError, match=message):
        read_problem(changed(path, value))


CLASHING = [
    (
        {"limit_day": 1, "pin": {"day": 2, "mechanic": None}},
        0,
        "pin.day: 2 is after the limit_day 1",
    ),
    ({"skill": "diving", "pin": SOMEWHERE}, 0, "'w0' does not hold the skill 'diving'"),
    ({"previous": SOMEWHERE, "pin": {"day": 2, "mechanic": None}}, 2, "frozen days, day 1"),
    ({"previous": SOMEWHERE, "pin": {"day": 1, "mechanic": "w1"}}, 2, "frozen days, day 1"),
]


@pytest.mark.parametrize(("fields", "frozen", "message"), CLASHING)
def test_a_task_that_contradicts_itself_is_refused(fields, frozen, message):
    case = small(1) | {"frozen_days": frozen}
    case["tasks"][0] |= fields
    with pytest.raises(InstanceError, match=message):
        read_problem(case)


def test_an_order_that_goes_in_a_circle_is_refused():
    case = small(1)
    first, second, *_ = case["tasks"]
    first["after"], second["after"] = ["t1"], ["t0"]
    with pytest.raises(InstanceError, match=r"tasks\[t0\].after: goes in a circle, t0 after t1"):
        read_problem(case)


def test_the_additions_are_read():
    case = small(1)
    case["yards"][0] |= {"bays": 1, "loaned_bays": [0, 1, -2, 0]}
    case["sites"][0]["closed_days"] = [2]
    case["parts"][0]["arrivals"] = [
        {"day": 1, "latest_day": 3, "quantity": 1},
        {"day": 2, "latest_day": 1, "quantity": 1},
        {"day": 2, "latest_day": None, "quantity": 1},
    ]
    case["tasks"][0] |= {"after": ["t1"], "apart": ["t1"], "several_days": True}
    case["tasks"][0]["not_before"] = 1
    case["tasks"][0]["second"] = {"skill": "general", "hours": 1}
    problem = read_problem(case)
    task = problem.tasks["t0"]
    assert [problem.yards["y"].bays_on(day) for day in range(4)] == [1, 2, 0, 1]
    assert problem.sites["ranch"].closed_days == {2}
    assert problem.parts["filter"].arrivals == ((3, 1), (2, 1), (2, 1))
    assert problem.parts["filter"].slipping == {3}
    assert (task.after, task.apart, task.several_days) == ({"t1"}, {"t1"}, True)
    assert task.not_before == 1
    assert (task.second.skill, task.second.hours) == ("general", 1)


def test_an_instance_without_the_additions_or_with_empty_ones_means_the_same():
    plain = small(1)
    empty = deepcopy(plain)
    empty["yards"][0]["loaned_bays"] = None
    empty["sites"][0]["closed_days"] = None
    for task in empty["tasks"]:
        task |= {"after": [], "apart": None, "second": None, "several_days": False}
        task["not_before"] = None
    assert read_problem(empty) == read_problem(plain)


@pytest.mark.parametrize("name", ["sites", "parts", "mechanics"])
def test_what_belongs_to_another_yard_is_refused(name):
    case = small(1)
    case["yards"].append({"id": "far", "bays": 1, "closed_days": []})
    case["machines"][0]["site"] = "ranch"
    case["tasks"][0] |= {"parts": [{"part": "filter", "quantity": 1}], "pin": SOMEWHERE}
    case[name][0]["yard"] = "far"
    with pytest.raises(InstanceError, match="belongs to yard 'far'"):
        read_problem(case)


@pytest.mark.parametrize("instance", [None, [], "plan", 3])
def test_what_is_no_object_is_refused(instance):
    with pytest.raises(InstanceError, match="must be an object"):
        read_problem(instance)


def test_a_sound_instance_keeps_its_order_and_ignores_what_it_does_not_know():
    case = yard(machines=20, mechanics=2, days=14, seed=1)
    problem = read_problem(case | {"name": "Monday", "colour": 3})
    assert list(problem.tasks) == [t["id"] for t in case["tasks"]]
    assert problem.horizon_days == 14


def test_previous_and_pin_may_be_left_out():
    case = small(1)
    for task in case["tasks"]:
        del task["pin"], task["previous"]
    assert all(t.pin is None for t in read_problem(case).tasks.values())
