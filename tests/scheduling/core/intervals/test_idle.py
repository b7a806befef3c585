import numpy as np
import pytest

from scheduling.core.intervals import DueState, barred, due_states, idle_too_long
from tests.lines import days, due_on_calendar

THREE_MONTHS = np.array([3])


@pytest.mark.parametrize(
    ("today", "expected"),
    [
        ("2025-04-14", False),
        ("2025-04-15", False),  # three months to the day are not more than three
        ("2025-04-16", True),
    ],
)
def test_idle_for_more_than_three_months(today, expected):
    found = idle_too_long(days("2025-01-15"), days(None), days(today), THREE_MONTHS)
    assert found.tolist() == [expected]


@pytest.mark.parametrize(
    ("inspected", "expected"),
    [
        ("2025-01-10", True),  # before it was laid up
        ("2025-02-20", True),  # laid up, but not for three months yet
        ("2025-04-20", False),  # before its return
    ],
)
def test_only_an_inspection_after_the_idle_time_ends_it(inspected, expected):
    found = idle_too_long(days("2025-01-15"), days(inspected), days("2025-05-01"), THREE_MONTHS)
    assert found.tolist() == [expected]


def test_intervals_without_the_rule_and_machines_never_used_are_left_alone():
    found = idle_too_long(
        days("2020-01-15", None), days(None, None), days("2025-05-01"), np.array([0, 3])
    )
    assert found.tolist() == [False, False]


def test_a_platform_back_from_long_idleness_is_barred_until_inspected():
    points = due_on_calendar(["2025-02-20"], months=3, hard=True)
    today = days("2025-05-01")
    assert not barred(points, due_states(points, today, np.nan)).any()
    idle = idle_too_long(days("2025-01-15"), days("2025-02-20"), today, THREE_MONTHS)
    states = due_states(points.at_once(idle), today, np.nan)
    assert states.tolist() == [DueState.OVERDUE]
    assert barred(points, states).all()
