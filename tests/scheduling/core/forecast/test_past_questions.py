import numpy as np

from scheduling.core.forecast.past_questions import LEVELS, ask_past
from scheduling.core.usage import Readings, Swaps, clean, use_intervals


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
