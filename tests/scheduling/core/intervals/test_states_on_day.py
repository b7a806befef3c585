import numpy as np
import pytest

from scheduling.core.intervals import (
    CalendarRules,
    DueState,
    MeterRules,
    ServicesDone,
    barred,
    due_points,
    due_states,
    worst_states,
)
from tests.lines import book, calendar, days, due_on_calendar, due_on_meter, meter

CLEAR, UNKNOWN, COMING_DUE, DUE, OVERDUE = DueState
TODAY = np.datetime64("2025-06-01")


@pytest.mark.parametrize(
    ("life", "state"),
    [
        (89.9, CLEAR),
        (90, DUE),  # the window opens
        (100, DUE),
        (105, DUE),  # the last of the window
        (105.1, OVERDUE),
        (np.nan, UNKNOWN),
    ],
)
def test_state_on_the_meter(life, state):
    points = due_on_meter([0], every=100, early=10, late=5)
    assert due_states(points, TODAY, life).tolist() == [state]


@pytest.mark.parametrize(
    ("today", "state"),
    [
        ("2025-05-17", CLEAR),
        ("2025-05-18", COMING_DUE),  # 14 days before the due day
        ("2025-05-27", COMING_DUE),
        ("2025-05-28", DUE),  # the window opens
        ("2025-06-01", DUE),
        ("2025-06-03", DUE),  # the last day of the window
        ("2025-06-04", OVERDUE),
    ],
)
def test_state_on_the_calendar(today, state):
    points = due_on_calendar(["2025-03-01"], months=3, early=4, late=2)
    assert due_states(points, days(today), np.nan).tolist() == [state]


def test_rounding_of_tenths_does_not_change_a_state():
    points = due_on_meter([0.1 + 0.2], every=0.3)
    assert due_states(points, TODAY, 0.6).tolist() == [DUE]
    points = due_on_meter([0], every=0.3)
    assert due_states(points, TODAY, 0.1 + 0.2).tolist() == [DUE]


@pytest.mark.parametrize(
    ("days_to_due", "look_ahead", "state"),
    [
        (14, 14, COMING_DUE),
        (14.5, 14, CLEAR),
        (20, 30, COMING_DUE),
        (np.inf, 14, CLEAR),
        (np.nan, 14, CLEAR),
    ],
)
def test_the_forecast_makes_a_service_coming_due(days_to_due, look_ahead, state):
    points = due_on_meter([0], every=100)
    assert due_states(points, TODAY, 50, days_to_due, look_ahead).tolist() == [state]


def test_the_worse_side_counts():
    points = due_points(meter(100), calendar(months=3), book(("2025-01-01", 0)))
    assert due_states(points, days("2025-02-01"), 101).tolist() == [OVERDUE]
    assert due_states(points, days("2025-04-02"), 1).tolist() == [OVERDUE]
    assert due_states(points, days("2025-02-01"), 1).tolist() == [CLEAR]


def test_a_side_that_cannot_be_counted_leaves_the_state_unknown():
    points = due_points(meter(100), calendar(months=12), book(("2025-05-01", None)))
    assert due_states(points, TODAY, 400).tolist() == [UNKNOWN]


def test_due_at_once_is_due_and_past_a_hard_limit():
    rules = MeterRules([100, 100], hard=[False, True])
    points = due_points(rules, CalendarRules([0, 0]), ServicesDone.none())
    states = due_states(points, TODAY, 5)
    assert states.tolist() == [DUE, OVERDUE]
    assert barred(points, states).tolist() == [False, True]


def test_due_at_once_does_not_hide_overdue():
    points = due_on_meter([0], every=100).at_once(np.array([True]))
    assert due_states(points, TODAY, 150).tolist() == [OVERDUE]


def test_only_past_the_window_of_a_hard_limit_may_a_machine_not_go_out():
    rules = MeterRules(np.full(3, 100.0), start=0, late=5, hard=[True, True, False])
    points = due_points(rules, CalendarRules([0, 0, 0]), ServicesDone.none())
    states = due_states(points, TODAY, [105, 106, 106])
    assert barred(points, states).tolist() == [False, True, False]


def test_each_line_may_have_its_own_day():
    points = due_points(
        MeterRules([np.nan] * 2),
        CalendarRules([1, 1], start=days("2025-05-01")),
        ServicesDone.none(),
    )
    states = due_states(points, days("2025-06-01", "2025-06-02"), np.nan)
    assert states.tolist() == [DUE, OVERDUE]


def test_a_line_without_any_rule_is_clear():
    points = due_points(meter(), calendar(), ServicesDone.none())
    assert due_states(points, TODAY, np.nan).tolist() == [CLEAR]


def test_a_machine_is_as_bad_as_its_worst_line():
    states = np.array([CLEAR, OVERDUE, DUE, CLEAR, UNKNOWN])
    worst = worst_states(states, np.array([0, 1, 1, 0, 0]), 3)
    assert worst.tolist() == [UNKNOWN, OVERDUE, UNKNOWN]
