"""A lent hand has a passing name until the trial is published."""

from dataclasses import replace

from scheduling.core.planner import RunLimits, read_problem, solve
from scheduling.trial.plain_json import to_plain
from scheduling.trial.rename_people import renamed
from tests.benchmarks.plan_instances import small


def test_people_are_renamed_wherever_a_plan_names_them():
    result = solve(read_problem(small(1)), RunLimits(seconds=5))
    who = result.assignments[0].mechanic
    other = renamed(result, {who: "somebody-else"})
    assert f"'{who}'" in str(to_plain(result))
    assert f"'{who}'" not in str(to_plain(other))
    back = renamed(other, {"somebody-else": who})
    assert back == result


def test_nothing_else_changes():
    result = solve(read_problem(small(1)), RunLimits(seconds=5))
    task = result.assignments[0].task
    assert renamed(result, {task: "x"}).places() == result.places()
    assert replace(renamed(result, {}), seconds=0.0) == replace(result, seconds=0.0)
