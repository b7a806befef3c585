import numpy as np

from scheduling.core.forecast.past_questions import LEVELS, ask_past
from scheduling.core.usage import DayWeights, Readings, Swaps, clean, use_intervals


def ask(rates, day, read_every=5.0, until=200.0):
    rates = np.asarray(rates, dtype=float)
    days = np.arange(0.0, until + 1, read_every)
    machine = np.repeat(np.arange(rates.size), days.size)
    value = (rates[:, None] * days).ravel()
    cleaned = clean(Readings(machine, np.tile(days, rates.size), value), Swaps.none(), rates.size)
    group = np.zeros(rates.size, dtype=int)
    return ask_past(cleaned, use_intervals(cleaned), group, day)


def test_only_what_was_read_by_then_is_known():
    asked = ask([2.0, 2.0], 100.0)
    assert asked.intervals.end.max() == 100.0


def test_levels_are_days_of_the_groups_own_use():
    np.testing.assert_allclose(ask([2.0, 2.0], 100.0).level, [2 * LEVELS] * 2)


def test_the_answer_is_what_the_meter_showed_later():
    asked = ask([1.0, 3.0], 80.0)
    ran = asked.days[:, :, None] * np.array([1.0, 3.0])[:, None, None]
    np.testing.assert_array_equal(asked.reached, ran >= asked.level[:, None, :])


def test_looks_that_nobody_took_weigh_nothing():
    asked = ask([2.0, 2.0], 180.0)
    assert asked.weight[0].tolist() == [10.0, 0.0, 0.0, 0.0, 0.0]


def test_machines_that_never_ran_are_not_asked_about():
    assert ask([0.0, 2.0], 100.0).group.size == 1
    assert ask([0.0, 0.0], 100.0) is None


def test_days_to_a_look_are_counted_as_the_intervals_are():
    """Half of the days stand still: what a machine runs in ten days it is asked about in five."""
    days = np.arange(0.0, 201.0, 5.0)
    cleaned = clean(Readings(np.zeros(days.size, dtype=int), days, 2 * days), Swaps.none(), 1)
    weights = DayWeights(0, np.tile([1.0, 0.0], 110)[None, :])
    intervals, group = use_intervals(cleaned, weights), np.zeros(1, dtype=int)
    plain = ask_past(cleaned, use_intervals(cleaned), group, 100.0)
    weighed = ask_past(cleaned, intervals, group, 100.0, weights)
    # a stretch of an odd number of days has one half day more or less
    np.testing.assert_allclose(weighed.days[0], plain.days[0] / 2, atol=0.5)
