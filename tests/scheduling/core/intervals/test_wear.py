import numpy as np
import pytest

from scheduling.core.intervals import Measurements, WearLimit, limit_life, limit_reached


def measured(lives, values):
    return Measurements(np.zeros(len(lives), dtype=np.int64), np.array(lives), np.array(values))


def limit(value, *, rising=False):
    return WearLimit(np.array([value]), np.array([rising]))


def test_a_lining_that_loses_a_millimetre_in_100_h_meets_its_limit():
    found = limit_life(measured([0.0, 100.0, 200.0], [8.0, 7.0, 6.0]), limit(2.0))
    np.testing.assert_allclose(found, [600])


def test_a_chain_that_grows_meets_its_limit():
    found = limit_life(measured([0.0, 500.0], [300.0, 303.0]), limit(309.0, rising=True))
    np.testing.assert_allclose(found, [1500])


def test_the_trend_is_the_least_squares_line():
    lives, values = [0.0, 90.0, 210.0, 300.0], [8.0, 7.3, 5.7, 5.0]
    slope, start = np.polyfit(lives, values, 1)
    found = limit_life(measured(lives, values), limit(2.0))
    np.testing.assert_allclose(found, [(2.0 - start) / slope])


@pytest.mark.parametrize(
    ("lives", "values"),
    [
        ([], []),
        ([100.0], [8.0]),  # one measurement is no trend
        ([100.0, 100.0], [8.0, 7.0]),  # two at one life are none either
        ([100.0, 200.0], [8.0, 8.0]),  # no wear
        ([100.0, 200.0], [7.0, 8.0]),  # away from the limit
    ],
)
def test_without_a_trend_to_the_limit_there_is_no_life(lives, values):
    assert np.isnan(limit_life(measured(lives, values), limit(2.0))).all()


def test_a_line_without_a_limit_has_no_life():
    assert np.isnan(limit_life(measured([0.0, 100.0], [8.0, 7.0]), limit(np.nan))).all()


@pytest.mark.parametrize(
    ("value", "rising", "expected"),
    [(2.1, False, False), (2.0, False, True), (1.9, False, True), (2.1, True, True)],
)
def test_a_value_at_or_past_its_limit_is_due_at_once(value, rising, expected):
    found = limit_reached(measured([0.0, 100.0], [5.0, value]), limit(2.0, rising=rising))
    assert found.tolist() == [expected]


def test_the_last_value_counts_so_that_a_new_part_starts_afresh():
    assert not limit_reached(measured([0.0, 100.0], [1.0, 8.0]), limit(2.0)).any()


def test_lines_are_worked_out_apart():
    values = Measurements(
        np.array([0, 0, 2, 2]), np.array([0.0, 100, 0, 100]), np.array([8, 7, 8, 6.0])
    )
    wear = WearLimit(np.full(3, 2.0), np.zeros(3, dtype=bool))
    np.testing.assert_allclose(limit_life(values, wear), [600, np.nan, 300])


def test_a_trend_is_not_followed_to_the_end_of_time():
    """0.001 mm in 100 h, 1 mm to go: 100,000 h, a thousand times what was measured."""
    seen = Measurements(np.array([0, 0]), np.array([100.0, 200.0]), np.array([3.001, 3.0]))
    assert np.isnan(limit_life(seen, WearLimit(np.array([2.0]), np.array(False)))[0])
    quick = Measurements(np.array([0, 0]), np.array([100.0, 200.0]), np.array([3.1, 3.0]))
    assert limit_life(quick, WearLimit(np.array([2.0]), np.array(False)))[0] == pytest.approx(1200)
