import numpy as np
import pytest

from scheduling.core.verification.simple_average import lifetime_average
from tests.scheduling.core.verification.lines import lines, weekly


def days(cleaned, remaining, origin=0.0):
    return float(lifetime_average(cleaned, np.array([0]), np.array([remaining]), origin)[0])


@pytest.mark.parametrize(
    ("remaining", "origin", "expected"),
    [
        (42.0, 0.0, 10),  # 10.5 days at 4 h a day
        (42.0, 4.0, 6),  # last read four days ago
        (42.0, 40.0, 0),  # long behind, by the average
        (9000.0, 0.0, 120),  # beyond
    ],
)
def test_the_mean_rate_is_drawn_on_from_the_last_reading(remaining, origin, expected):
    assert days(lines(weekly(rate=4)), remaining, origin) == expected


def test_a_meter_that_stands_still_never_gets_there():
    assert days(lines([(-20, 100.0), (-1, 100.0)]), 5.0) == 120


@pytest.mark.parametrize("shown", [[(-3, 100.0)], [(-3, 100.0), (-2.5, 101.0)]])
def test_there_is_no_average_of_less_than_a_day(shown):
    assert np.isnan(days(lines(shown), 5.0))
