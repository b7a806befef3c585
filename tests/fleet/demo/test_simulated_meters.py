import numpy as np
import pytest

from fleet.demo.simulated_meters import EVENING, SimulatedMeter, dial_at, life_at, roll_over, swap

DAYS = np.arange(740_000, 740_010)
LIFE = np.linspace(9_996.0, 10_006.0, 11)
"""One hour a day: 10,000 h are reached on the evening of the fourth day."""


def test_a_dial_shows_life_less_what_was_before_it():
    assert SimulatedMeter("hours", 1, 0, 0.0, 5_000.0).shown(5_012.34) == 12.3
    assert SimulatedMeter("hours", 1, 0, 3.0, 5_000.0).shown(5_012.34) == 15.3


def test_an_odometer_shows_whole_miles():
    assert SimulatedMeter("distance", 1, 0).shown(1609.344 * 12.9) == pytest.approx(12 * 1609.344)


def test_a_meter_goes_round_on_the_day_that_reaches_its_limit():
    old, new = roll_over(SimulatedMeter("hours", 1, 0), 10_000.0, DAYS, LIFE)
    assert (old.last_value, old.ending) == (10_000.0, "rolled")
    assert old.end == (new.day, EVENING) == (740_003, EVENING)
    assert new.shown(10_002.0) == 2.0


def test_a_meter_that_does_not_reach_its_limit_stays():
    dial = SimulatedMeter("hours", 1, 0)
    assert roll_over(dial, 20_000.0, DAYS, LIFE) == [dial]


def test_a_swapped_meter_starts_at_nought():
    old, new = swap(SimulatedMeter("hours", 1, 0), 740_005, 10_001.0)
    assert old.last_value == 10_001.0
    assert new.shown(10_004.0) == 3.0


def test_the_dial_is_the_one_fitted_at_the_moment():
    dials = swap(SimulatedMeter("hours", 1, 0), 740_005, 10_001.0)
    assert dial_at(dials, 740_005, 500) == 0
    assert dial_at(dials, 740_005, 600) == 1
    assert dial_at(dials, 700_000, 0) == 0


def test_a_days_use_counts_in_the_evening():
    lives = {"hours": LIFE}
    assert life_at(lives, "hours", 740_000, 740_002, 480) == 9_998.0
    assert life_at(lives, "hours", 740_000, 740_002, 1_080) == 9_999.0
