"""Minutes learnt: drawn to what was set up, the less the more often a service was done."""

import pytest

from fleet.learnt_minutes import LearntMinutes, learnt_minutes


@pytest.mark.parametrize(
    ("planned", "total", "count", "wanted"),
    [
        (60, 0, 0, 60),
        (60, 90, 1, 66),  # (4 x 60 + 90) / 5
        (60, 900, 10, 81),  # (4 x 60 + 900) / 14 = 81.4
        (60, 100_000, 10, 120),  # twice what was set up at most
        (60, 10, 10, 30),  # and half of it at least
    ],
)
def test_the_mean_is_drawn_to_what_was_set_up(planned, total, count, wanted):
    assert learnt_minutes(planned, total, count).minutes == wanted


def test_a_quarter_more_or_less_is_worth_saying():
    said = [LearntMinutes(60, minutes).worth_saying for minutes in (46, 45, 74, 75)]
    assert said == [False, True, False, True]
