import numpy as np
import pytest

from scheduling.core.intervals import allowance, allowance_days, nominal_length


def test_nothing_given_is_no_window():
    assert allowance(250).tolist() == [0]


@pytest.mark.parametrize(
    ("every", "given", "expected"),
    [
        (250, {"absolute": 20}, 20),
        (250, {"percent": 10}, 25),
        (250, {"percent": 10, "cap": 5}, 5),
        (40, {"percent": 10, "cap": 5}, 4),
        (250, {"absolute": 20, "percent": 10}, 20),  # the smallest holds
        (250, {"absolute": 20, "percent": 4}, 10),
        (250, {"cap": 5}, 0),  # a cap alone allows nothing
        (np.nan, {"percent": 10}, 0),  # no meter side
        (250, {"percent": 0}, 0),
    ],
)
def test_allowance_on_a_meter(every, given, expected):
    assert allowance(every, **given).tolist() == [expected]


def test_lines_are_worked_out_side_by_side():
    found = allowance(
        [75, 50, 30], absolute=[np.nan, np.nan, 2], percent=[10, 10, np.nan], cap=[5, np.nan, 5]
    )
    assert found.tolist() == [5, 5, 2]


@pytest.mark.parametrize(
    ("months", "days", "percent", "expected"),
    [
        (3, 0, 10, 9),
        (6, 0, 10, 18),
        (12, 0, 10, 36),
        (0, 14, 10, 1),  # 1.4 is cut off
        (0, 19, 10, 1),  # 1.9 too
        (0, 100, 0.29 * 100, 29),  # 28.999999999999996 in floating point
        (0, 9, 10, 0),
    ],
)
def test_percent_of_nominal_days_is_cut_to_whole_days(months, days, percent, expected):
    assert allowance_days(nominal_length(months, days), percent=percent).tolist() == [expected]


def test_days_are_capped():
    assert allowance_days(nominal_length(24, 0), percent=10, cap=30).tolist() == [30]


@pytest.mark.parametrize("given", [{"absolute": -1}, {"percent": -10}])
def test_a_negative_window_is_refused(given):
    with pytest.raises(ValueError, match="a window of -"):
        allowance(250, **given)
