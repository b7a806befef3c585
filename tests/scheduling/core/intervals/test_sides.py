import numpy as np
import pytest

from scheduling.core.intervals import AnchorRule
from tests.lines import due_on_calendar, due_on_meter


@pytest.mark.parametrize(
    ("duty", "hard", "expected"),
    [
        (0.5, False, 125),
        (2.0, False, 500),
        (0.5, True, 125),  # dust shortens a hard limit
        (2.0, True, 250),  # clean work does not stretch it
    ],
)
def test_duty_scales_the_interval_but_never_stretches_a_hard_limit(duty, hard, expected):
    assert due_on_meter([0], every=250, duty=duty, hard=hard).due_life == expected


def test_duty_scales_the_first_point_too():
    points = due_on_meter([], every=250, first_at=20, start=5, duty=0.5)
    assert points.due_life == 15


def test_duty_leaves_the_calendar_alone():
    points = due_on_calendar(["2025-01-01"], months=3)
    assert str(points.due_day[0]) == "2025-04-01"


def test_the_window_shrinks_with_the_interval():
    points = due_on_meter([0], every=250, early=20, late=10, duty=0.5)
    assert (points.opens_life, points.closes_life) == (115, 130)


def test_the_window_does_not_widen_with_the_interval():
    points = due_on_meter([0], every=250, early=20, late=10, duty=2)
    assert (points.opens_life, points.closes_life) == (480, 510)


def test_the_window_of_a_break_in_keeps_its_share_of_the_interval():
    points = due_on_meter([], every=250, first_at=20, early=25, late=25, start=0)
    assert (points.opens_life, points.closes_life) == (18, 22)


def test_the_window_of_a_late_first_point_is_the_ordinary_one():
    points = due_on_meter([], every=100, first_at=500, early=10, late=10, start=0)
    assert (points.opens_life, points.closes_life) == (490, 510)


def test_the_window_of_a_break_in_is_cut_to_whole_days():
    points = due_on_calendar([], months=12, first_months=1, early=36, start="2025-03-01")
    assert str(points.due_day[0]) == "2025-04-01"
    assert str(points.opens_day[0]) == "2025-03-29"


def test_after_a_break_in_the_grid_goes_on_by_every():
    rules = {"every": 250, "first_at": 20, "early": 25, "late": 25, "start": 0}
    points = due_on_meter([21], anchor=AnchorRule.KEEP_WITHIN_WINDOW, **rules)
    assert (points.due_life, points.opens_life) == (270, 245)


def test_a_break_in_of_a_month_keeps_the_original_day():
    rules = {"months": 1, "first_months": 1, "start": "2025-01-31", "late": 3, "early": 3}
    points = due_on_calendar(["2025-02-28"], anchor=AnchorRule.KEEP_WITHIN_WINDOW, **rules)
    assert str(points.due_day[0]) == "2025-03-31"


def test_a_side_that_is_only_a_first_point_ends_with_the_first_service():
    before = due_on_meter([], first_at=20, early=2, start=0)
    after = due_on_meter([19], first_at=20, early=2, start=0)
    assert (before.due_life, before.opens_life) == (20, 18)
    assert np.isnan([after.due_life, after.opens_life, after.closes_life]).all()
    assert not after.due_at_once.any()


@pytest.mark.parametrize(
    ("done_on", "expected"),
    [
        ("2021-09-10", "2022-09-30"),
        ("2023-02-28", "2024-02-29"),  # the month's end moves with the leap year
        ("2024-02-29", "2025-02-28"),
    ],
)
def test_calendar_months_run_to_the_end_of_the_month(done_on, expected):
    points = due_on_calendar([done_on], months=12, end_of_month=True)
    assert str(points.due_day[0]) == expected


def test_a_leap_day_comes_back_in_the_next_leap_year():
    rules = {"months": 12, "early": 30, "late": 30, "anchor": AnchorRule.FROM_DUE_POINT}
    services = ["2024-02-29", "2025-02-20", "2026-03-03", "2027-02-28"]
    assert str(due_on_calendar(services, **rules).due_day[0]) == "2028-02-29"
