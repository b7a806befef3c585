import numpy as np

from scheduling.core.forecast import (
    DueTasks,
    UseCircumstances,
    fit_fleet,
    look_ahead,
    reading_worth,
)
from scheduling.core.usage import DayWeights, Readings, Swaps, UseLaw, clean


def worth(last_read, remaining, weights=None):
    """Thirty machines alike but for the day of their last reading."""
    ages = np.full(30, 1.0)
    ages[: len(last_read)] = last_read
    day = (100 - ages)[:, None] - np.array([60.0, 40.0, 20.0, 0.0])
    machine = np.repeat(np.arange(30), 4)
    cleaned = clean(Readings(machine, day.ravel(), 4 * day.ravel()), Swaps.none(), 30)
    about = UseCircumstances(np.zeros(30, dtype=int), 100.0, day_weights=weights)
    model = fit_fleet(cleaned, about, UseLaw())
    tasks = DueTasks(np.arange(len(last_read)), np.array(remaining))
    return reading_worth(model, look_ahead(model, cleaned, about), tasks)


def test_the_longest_unread_of_two_machines_is_worth_more_to_read():
    fresh, stale = worth([0.0, 30.0], [160.0, 160.0])
    assert fresh == 0.0
    assert stale > 0.0


def test_what_is_due_for_certain_needs_no_reading():
    assert worth([30.0], [-5.0])[0] == 0.0


def test_day_weights_change_nothing_when_they_are_even():
    even = DayWeights(0, np.ones((1, 300)))
    np.testing.assert_allclose(worth([20.0], [120.0], even), worth([20.0], [120.0]), atol=1.0)
