import copy
import json
from dataclasses import replace

import pytest

from scheduling.core.planner import compare, read_problem
from scheduling.core.planner.problem.entities import Spot
from tests.benchmarks.plan_instances import yard
from tests.plan_check import check, late_and_early
from tests.scheduling.core.planner.cases import plan


@pytest.fixture(scope="module")
def before():
    case = yard(machines=30, mechanics=2, days=14, seed=4)
    return case, plan(case, 1.0)


def difference(case, result, other, other_result):
    return compare(read_problem(case), result, read_problem(other), other_result)


def test_a_plan_does_not_differ_from_itself(before):
    same = difference(*before, *before)
    assert same.same
    assert same.kept == len(before[1].assignments)


def changed(before):
    """The case with one mechanic away for a week, one task gone and one new, planned anew."""
    case, result = before
    other = copy.deepcopy(case)
    other["mechanics"][1]["hours"][:7] = [0.0] * 7
    other["tasks"].pop(0)
    other["tasks"].append(copy.deepcopy(case["tasks"][3]) | {"id": "fresh"})
    return case, result, other, plan(other, 1.0)


def test_every_task_is_in_exactly_one_list(before):
    case, result, other, after = changed(before)
    apart = difference(case, result, other, after)
    listed = [apart.moved, apart.planned, apart.deferred, apart.new, apart.gone]
    names = [move.task for moves in listed for move in moves]
    assert len(names) == len(set(names))
    stay = {t["id"] for t in case["tasks"]} & {t["id"] for t in other["tasks"]} - set(names)
    assert all(result.places().get(t) == after.places().get(t) for t in stay)
    assert apart.kept == sum(t in after.places() for t in stay)
    assert [move.task for move in apart.new] == ["fresh"]
    assert [move.task for move in apart.gone] == [case["tasks"][0]["id"]]
    assert apart.moved
    assert not apart.same


def test_the_figures_are_those_of_the_independent_checker(before):
    case, result, other, after = changed(before)
    apart = difference(case, result, other, after)
    for term, change in apart.money.items():
        assert change.before == pytest.approx(check(case, result.to_dict()).cost[term], abs=1e-3)
        assert change.after == pytest.approx(check(other, after.to_dict()).cost[term], abs=1e-3)
    assert apart.total.by == pytest.approx(after.total - result.total)
    last = 14 + case["weights"]["deferred_days"]
    spots = after.places()
    late = sum(
        late_and_early(t["due"], spots[t["id"]].day if t["id"] in spots else last)[0]
        for t in other["tasks"]
    )
    assert apart.overdue_days.after == pytest.approx(late)


def test_back_again_is_the_opposite(before):
    case, result, other, after = changed(before)
    there = difference(case, result, other, after)
    back = difference(other, after, case, result)
    assert back.total.by == pytest.approx(-there.total.by)
    assert back.lost_bookings == there.lost_bookings[::-1]
    assert [(m.before, m.after) for m in back.moved] == [(m.after, m.before) for m in there.moved]
    assert [m.task for m in back.deferred] == [m.task for m in there.planned]


def test_a_difference_is_plain_json(before):
    values = json.loads(json.dumps(difference(*changed(before)).to_dict()))
    assert values["new"][0]["task"] == "fresh"
    assert values["same"] is False


def test_another_mechanic_on_the_same_day_is_a_move(before):
    case, result = before
    first = result.assignments[0]
    spots = result.places()
    moved = type(first)(first.task, first.day, "someone")
    other = replace(result, assignments=(moved, *result.assignments[1:]))
    (move,) = difference(case, result, case, other).moved
    assert (move.before, move.after) == (spots[first.task], Spot(first.day, "someone"))
