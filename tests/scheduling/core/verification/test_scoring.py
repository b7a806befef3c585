import numpy as np
import pytest

from scheduling.core.verification.scoring import (
    RangeForecasts,
    RangePosition,
    days_off,
    range_position,
    simple_factors,
    two_ended,
)

INF = np.inf


def said(low, middle, high):
    return RangeForecasts(*(np.array([float(day)]) for day in (low, middle, high)))


@pytest.mark.parametrize(
    ("low", "high", "truth", "where"),
    [
        (10, 30, 9, RangePosition.EARLIER),
        (10, 30, 10, RangePosition.INSIDE),  # both ends belong to the range
        (10, 30, 30, RangePosition.INSIDE),
        (10, 30, 31, RangePosition.LATER),
        (10, 30, 120, RangePosition.LATER),
        (10, INF, 120, RangePosition.INSIDE),  # "not before day 10"
        (INF, INF, 120, RangePosition.INSIDE),  # "beyond 120 days"
        (INF, INF, 119, RangePosition.EARLIER),
        (0, 5, 0, RangePosition.INSIDE),
    ],
)
def test_where_a_truth_falls(low, high, truth, where):
    assert range_position(said(low, 20, high), np.array([float(truth)]))[0] == where


@pytest.mark.parametrize(
    ("low", "high", "judged"),
    [(1, 119, True), (0, 30, False), (10, 120, False), (10, INF, False)],
)
def test_ranges_that_can_be_missed_on_both_sides(low, high, judged):
    assert two_ended(said(low, 20, high))[0] == judged


def test_days_off_are_counted_to_the_horizon():
    off = days_off(np.array([10.0, INF, 100.0]), np.array([14.0, 110.0, 120.0]))
    assert off.tolist() == [4, 10, 20]


def test_factors_hold_eight_in_ten_truths():
    rng = np.random.default_rng(3)
    simple = rng.uniform(5, 100, 1000)
    truth = simple * rng.lognormal(0, 0.5, 1000)
    low, high = simple_factors(simple, truth)
    assert np.mean((truth >= low * simple) & (truth <= high * simple)) == pytest.approx(
        0.8, abs=0.01
    )


def test_a_simple_date_of_today_counts_as_one_day():
    assert simple_factors(np.zeros(3), np.array([2.0, 2.0, 2.0])) == (2.0, 2.0)
