import numpy as np
import pytest

from tests.lines import due_on_calendar

BY_15_NOVEMBER = {"season_month": 11, "season_day": 15}


@pytest.mark.parametrize(
    ("start", "expected"),
    [
        ("2025-05-01", "2025-11-15"),
        ("2025-11-15", "2025-11-15"),  # on the day
        ("2025-11-16", "2026-11-15"),
    ],
)
def test_a_season_never_met_is_due_by_the_first_date_from_the_start(start, expected):
    points = due_on_calendar([], start=start, **BY_15_NOVEMBER)
    assert str(points.due_day[0]) == expected
    assert points.never_done.all()


def test_a_season_with_nothing_known_is_due_at_once():
    points = due_on_calendar([], **BY_15_NOVEMBER)
    assert points.due_at_once.all()
    assert np.isnat(points.due_day).all()


@pytest.mark.parametrize(
    ("done_on", "expected"),
    [
        ("2025-10-20", "2026-11-15"),  # in time
        ("2025-11-15", "2026-11-15"),
        ("2025-11-16", "2026-11-15"),  # a day late
        ("2026-01-10", "2026-11-15"),  # two months late: not early for the next winter
        ("2025-05-17", "2026-11-15"),  # 182 days before 15 November 2025
        ("2025-05-16", "2025-11-15"),  # 183 days: belongs to the winter before
    ],
)
def test_a_service_counts_for_the_date_it_lies_nearest_to(done_on, expected):
    points = due_on_calendar([done_on], start="2024-01-01", **BY_15_NOVEMBER)
    assert str(points.due_day[0]) == expected


def test_services_repeated_in_one_season_move_it_once():
    points = due_on_calendar(["2025-09-01", "2025-10-01", "2025-11-01"], **BY_15_NOVEMBER)
    assert str(points.due_day[0]) == "2026-11-15"


def test_a_window_wider_than_half_a_year_reaches_further_back():
    points = due_on_calendar(["2025-03-01"], early=300, **BY_15_NOVEMBER)
    assert str(points.due_day[0]) == "2026-11-15"


def test_the_window_of_a_season():
    points = due_on_calendar([], start="2025-01-01", early=45, late=10, **BY_15_NOVEMBER)
    assert str(points.opens_day[0]) == "2025-10-01"
    assert str(points.closes_day[0]) == "2025-11-25"


@pytest.mark.parametrize(
    ("done_on", "expected"),
    [("2023-02-28", "2024-02-29"), ("2024-02-29", "2025-02-28"), ("2027-02-28", "2028-02-29")],
)
def test_a_season_by_29_february_falls_on_the_last_day_of_february(done_on, expected):
    points = due_on_calendar([done_on], season_month=2, season_day=29)
    assert str(points.due_day[0]) == expected


@pytest.mark.parametrize(
    ("done_on", "expected"),
    [
        ("2025-10-01", "2026-04-01"),  # half a year is over before the next winter
        ("2026-05-16", "2026-11-15"),  # one day before half a year is over
    ],
)
def test_season_and_interval_together_are_due_by_the_first_to_come(done_on, expected):
    points = due_on_calendar([done_on], months=6, **BY_15_NOVEMBER)
    assert str(points.due_day[0]) == expected


def test_a_first_point_may_come_before_the_season():
    rules = {"first_months": 1, "start": "2025-09-01"} | BY_15_NOVEMBER
    assert str(due_on_calendar([], **rules).due_day[0]) == "2025-10-01"
    assert str(due_on_calendar(["2025-10-01"], **rules).due_day[0]) == "2026-11-15"
