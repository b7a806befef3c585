"""Round figures of axes."""

from datetime import date

import pytest

from fleet.charts.scales import ceiling, month_starts, scale, ticks


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        (0, 100, [0, 20, 40, 60, 80, 100]),
        (0, 150, [0, 50, 100, 150]),
        (2750, 3790, [2750, 3000, 3250, 3500, 3750]),
        (0, 0, [0]),
    ],
)
def test_ticks_are_round_and_within_reach(low, high, expected):
    assert ticks(low, high, 5) == pytest.approx(expected)


@pytest.mark.parametrize(("high", "top"), [(98, 100), (142, 150), (100, 100), (0, 1), (0.3, 0.3)])
def test_an_axis_ends_at_or_above_its_highest_figure(high, top):
    assert ceiling(high, 5) == pytest.approx(top)


def test_a_scale_is_straight_and_survives_an_empty_span():
    y = scale(0, 10, 100, 0)
    assert (y(0), y(5), y(10)) == (100, 50, 0)
    assert scale(3, 3, 0, 100)(3) == 0


def test_months_begin_within_the_span():
    starts = month_starts(date(2026, 11, 2), date(2027, 1, 1))
    assert starts == [(date(2026, 12, 1), "Dec"), (date(2027, 1, 1), "Jan")]
