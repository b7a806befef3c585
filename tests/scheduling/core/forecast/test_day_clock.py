import numpy as np

from scheduling.core.forecast.day_clock import HORIZON, DayClock, day_clock
from scheduling.core.usage import DayWeights

MACHINE, DAY = np.array([0, 1]), np.array([0, 9])


def test_days_count_from_the_last_reading_to_the_end_of_the_day():
    assert day_clock(np.array([3.5, 0.0]), 100.0).at(MACHINE, DAY).tolist() == [4.5, 10.0]


def test_a_reading_later_than_the_day_leaves_no_days():
    assert DayClock(np.array([-5.0])).at(np.array([0, 0]), np.array([0, 7])).tolist() == [0.0, 3.0]


def test_even_weights_count_as_calendar_days():
    age = np.array([3.5, 0.0])
    plain, even = day_clock(age, 100.0), day_clock(age, 100.0, DayWeights(0, np.ones((1, 400))))
    days = np.arange(HORIZON + 1)
    for machine in (0, 1):
        who = np.full(days.size, machine)
        np.testing.assert_allclose(plain.at(who, days), even.at(who, days))


def test_stored_days_bring_nothing():
    weights = DayWeights(100, np.array([[0.0] * 10 + [1.0] * 200]))
    clock = day_clock(np.array([2.0]), 100.0, weights)
    days = np.array([0, 9, 10])
    assert clock.at(np.zeros(3, dtype=int), days).tolist() == [2.0, 2.0, 3.0]
