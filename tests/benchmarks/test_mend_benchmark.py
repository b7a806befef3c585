"""The benchmark of mends runs, and what it breaks is broken."""

import copy
import time

import pytest

from scheduling.core.planner import RunLimits, mend, read_problem
from tests.benchmarks.mend_benchmark import BREAKS, line, main, moves, standing, undone
from tests.plan_check import check


@pytest.fixture(scope="module")
def shop():
    return standing(1, 2.0, 1)


def places_of(case):
    stood = {t["id"]: t["previous"] for t in case["tasks"] if t["previous"]}
    return {
        "assignments": [{"task": name, **spot} for name, spot in stood.items()],
        "deferred": [t["id"] for t in case["tasks"] if not t["previous"]],
        "blocked_bookings": [b["id"] for m in case["machines"] for b in m["bookings"]],
    }


def test_the_standing_plan_stands_before_anything_breaks(shop):
    assert check(shop | {"frozen_days": 0}, places_of(shop)).faults == []


@pytest.mark.parametrize(
    ("name", "rule"), [("mechanic away 2 days", "hours"), ("machine back late", "out")]
)
def test_a_break_breaks_the_standing_plan(shop, name, rule):
    case = copy.deepcopy(shop)
    BREAKS[name](case)
    assert rule in check(case | {"frozen_days": 0}, places_of(case)).rules()


def test_limits_that_lost_their_day_are_kept_by_moving_a_few_and_not_everything(shop):
    """With the busiest mechanic away two limits have no place at first; others give way."""
    case = copy.deepcopy(shop)
    BREAKS["mechanic away 2 days"](case)
    found = mend(read_problem(case), RunLimits(3.0, clock=time.process_time))
    assert found.result.feasible
    assert len(found.moves) <= found.least_moves + 25


def test_a_row_of_the_table_has_a_cell_for_each_heading(shop):
    case = copy.deepcopy(shop)
    BREAKS["urgent job"](case)
    assert line("urgent job", case, 0.5, 1).count(" | ") == 7
    assert undone(read_problem(case), set()) > undone(read_problem(shop), set())


def test_nothing_moved_counts_nothing(shop):
    class Standing:
        def places(self):
            return {t.id: t.previous for t in read_problem(shop).tasks.values() if t.previous}

    assert moves(shop, Standing()) == 0


def test_a_wrong_option_is_refused():
    with pytest.raises(SystemExit):
        main(["--seeds", "one"])
