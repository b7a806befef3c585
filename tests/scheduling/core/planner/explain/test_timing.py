import pytest

from scheduling.core.planner import read_problem
from scheduling.core.planner.explain.timing import timing_of
from tests.benchmarks.plan_instances import yard
from tests.plan_check import late_and_early


def test_days_late_and_early_are_those_of_the_independent_checker():
    case = yard(machines=20, mechanics=2, days=14, seed=4)
    timing = timing_of(read_problem(case))
    last = 14 + case["weights"]["deferred_days"]
    for task in case["tasks"]:
        row = timing.row[task["id"]]
        for column, day in ((0, 0), (5, 5), (13, 13), (14, last)):
            late, early = late_and_early(task["due"], day)
            assert timing.late[row, column] == pytest.approx(late)
            assert timing.early[row, column] == pytest.approx(early)


def test_a_shop_without_tasks_has_no_timing():
    case = yard(machines=2, mechanics=1, days=5, seed=1) | {"tasks": []}
    assert timing_of(read_problem(case)).late.shape == (0, 6)
