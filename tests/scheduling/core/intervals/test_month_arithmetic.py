import numpy as np
import pytest

from scheduling.core.intervals import add_months, day_of_month, end_of_month
from scheduling.core.intervals.month_arithmetic import date_in_year, months_between
from tests.lines import days


@pytest.mark.parametrize(
    ("day", "months", "original_day", "expected"),
    [
        ("2025-01-31", 1, 31, "2025-02-28"),  # cut to the month
        ("2025-02-28", 1, 31, "2025-03-31"),  # and back to the original day
        ("2024-01-31", 1, 31, "2024-02-29"),  # leap year
        ("2024-02-29", 12, 29, "2025-02-28"),
        ("2024-02-29", 48, 29, "2028-02-29"),
        ("1900-01-30", 1, 30, "1900-02-28"),  # a century that is no leap year
        ("2000-01-30", 1, 30, "2000-02-29"),  # one that is
        ("2025-11-15", 3, 15, "2026-02-15"),  # over the year's end
        ("2025-03-31", -1, 31, "2025-02-28"),  # backwards
        ("2025-03-31", 0, 31, "2025-03-31"),
        ("1969-12-31", 2, 31, "1970-02-28"),  # over the epoch
        (None, 1, 31, None),
    ],
)
def test_months_are_added_by_keeping_the_original_day(day, months, original_day, expected):
    met = add_months(days(day), np.array([months]), np.array([original_day]))
    np.testing.assert_array_equal(met, days(expected))


def test_day_of_month_before_and_after_the_epoch():
    found = day_of_month(days("1969-12-31", "1970-01-01", "2024-02-29", None))
    assert found.tolist() == [31, 1, 29, 1]


def test_end_of_month_knows_leap_years_and_december():
    found = end_of_month(days("2023-02-01", "2024-02-29", "2025-12-31", None))
    np.testing.assert_array_equal(found, days("2023-02-28", "2024-02-29", "2025-12-31", None))


def test_months_between_counts_month_names():
    early = days("2025-01-31", "2025-01-01", "2025-05-02", None)
    late = days("2025-02-01", "2025-01-31", "2024-05-30", "2025-01-01")
    assert months_between(early, late).tolist() == [1, 0, -12, 0]


def test_29_february_is_met_on_28_february_in_other_years():
    years = np.array(["2023", "2024", "2100"], dtype="datetime64[Y]")
    found = date_in_year(years, np.full(3, 2), np.full(3, 29))
    np.testing.assert_array_equal(found, days("2023-02-28", "2024-02-29", "2100-02-28"))
