import json
from dataclasses import replace

import numpy as np
import pytest

from scheduling.core.forecast import (
    DueTasks,
    FleetModel,
    UseCircumstances,
    due_at_life,
    due_chance,
    due_range,
    fit_fleet,
    forecast_due,
    look_ahead,
)
from scheduling.core.forecast.due_forecast import QUANTILES, SURPRISE_DAYS, SURPRISE_PART
from scheduling.core.usage import Readings, Swaps, UseLaw, clean

ORIGIN = 100.0


def fleet(rates, days=(10.0, 40.0, 70.0, 99.0)):
    rates = np.asarray(rates, dtype=float)
    machine = np.repeat(np.arange(rates.size), len(days))
    day = np.tile(days, rates.size)
    cleaned = clean(Readings(machine, day, rates[machine] * day), Swaps.none(), rates.size)
    about = UseCircumstances(np.zeros(rates.size, dtype=int), ORIGIN)
    model = fit_fleet(cleaned, about)
    return model, look_ahead(model, cleaned, about), cleaned


@pytest.fixture(scope="module")
def steady():
    return fleet(np.full(40, 4.0))


def test_steady_use_falls_due_about_when_the_rate_says(steady):
    model, outlook, _ = steady
    early, middle, late = forecast_due(model, outlook, DueTasks([0], [120.0]))[0]
    assert early < middle < late
    assert middle == pytest.approx(120 / 4 - 1, abs=4)


def test_a_threshold_already_passed_is_due_today(steady):
    model, outlook, _ = steady
    tasks = DueTasks([0, 1], [0.0, -30.0])
    assert (forecast_due(model, outlook, tasks) == 0).all()
    assert (due_chance(model, outlook, tasks, [0, 50]) == 1).all()


def test_a_threshold_never_met_is_beyond_the_horizon(steady):
    model, outlook, _ = steady
    assert np.isinf(forecast_due(model, outlook, DueTasks([0], [np.inf]))).all()


def test_quantile_days_are_the_first_on_which_the_chance_is_reached(steady):
    model, outlook, _ = steady
    tasks = DueTasks([0, 3], [60.0, 200.0])
    chance = due_chance(model, outlook, tasks, np.arange(121))
    for column, wanted in enumerate((0.1, 0.5, 0.9)):
        first = np.argmax(chance >= wanted, axis=1)
        assert forecast_due(model, outlook, tasks)[:, column].tolist() == first.tolist()


def test_a_stale_reading_makes_being_due_unknown_not_impossible():
    model, outlook, _ = fleet(np.full(40, 4.0), days=(10.0, 40.0, 70.0))
    assert 0.5 < due_chance(model, outlook, DueTasks([0], [80.0]), 0)[0, 0] < 1


def test_absolute_life_and_remaining_life_ask_the_same(steady):
    model, outlook, cleaned = steady
    by_life = due_at_life(cleaned, np.array([2]), cleaned.last_life[2] + 75)
    np.testing.assert_array_equal(
        forecast_due(model, outlook, by_life), forecast_due(model, outlook, DueTasks([2], [75.0]))
    )


def test_a_model_kept_as_json_forecasts_the_same(steady):
    model, outlook, _ = steady
    kept = FleetModel.from_dict(json.loads(json.dumps(model.to_dict())))
    tasks = DueTasks(np.arange(40), np.linspace(1, 400, 40))
    np.testing.assert_array_equal(
        forecast_due(kept, outlook, tasks), forecast_due(model, outlook, tasks)
    )


@pytest.mark.parametrize(
    ("machine", "remaining", "words"),
    [
        ([41], [5.0], "Task 0 belongs to machine 41"),
        ([3], [np.nan], "machine 3 is not a number"),
    ],
)
def test_what_cannot_be_asked_is_refused_by_name(steady, machine, remaining, words):
    model, outlook, _ = steady
    with pytest.raises(ValueError, match=words):
        forecast_due(model, outlook, DueTasks(machine, remaining))


def test_days_outside_the_horizon_are_refused(steady):
    model, outlook, _ = steady
    with pytest.raises(ValueError, match="0 to 120"):
        due_chance(model, outlook, DueTasks([0], [5.0]), [121])


@pytest.mark.parametrize("days", [(), (50.0,), (50.0, 50.0)])
def test_a_machine_of_which_little_is_known_gets_a_wide_answer(days):
    rates = np.full(40, 4.0)
    machine = np.concatenate([np.repeat(np.arange(40), 4), np.full(len(days), 40)])
    day = np.concatenate([np.tile((10.0, 40.0, 70.0, 99.0), 40), days])
    value = np.concatenate([4 * np.tile((10.0, 40.0, 70.0, 99.0), 40), np.full(len(days), 7.0)])
    cleaned = clean(Readings(machine, day, value), Swaps.none(), 41)
    about = UseCircumstances(np.zeros(rates.size + 1, dtype=int), ORIGIN)
    model = fit_fleet(cleaned, about)
    outlook = look_ahead(model, cleaned, about)
    # due on the same day, or the one that is due sooner would see less of what may come
    unread = 4.0 * (99.0 - days[-1]) if days else 0.0
    known, unknown = forecast_due(
        model, outlook, DueTasks([0, 40], [300.0, 300.0 + unread]), (0.1, 0.9)
    ).clip(0, 121)
    assert np.ptp(unknown) >= np.ptp(known) - 1
    assert np.isfinite(due_chance(model, outlook, DueTasks([40], [300.0]), [0, 60, 120])).all()


def test_readings_later_than_the_origin_count_from_the_reading():
    model, outlook, _ = fleet(np.full(40, 4.0), days=(10.0, 40.0, 70.0, 150.0))
    chance = due_chance(model, outlook, DueTasks([0], [8.0]), [0, 48, 60])[0]
    assert chance[0] == 0
    assert chance[1] == 0
    assert chance[2] > 0.5


def test_early_day_leaves_little_chance_of_a_surprise():
    """A machine that hardly runs may be taken into work: the plain early day is then too late."""
    cleaned, about = lumpy_fleet()
    model = fit_fleet(cleaned, about, UseLaw())
    outlook = look_ahead(model, cleaned, about)
    tasks = DueTasks(np.arange(30), np.full(30, 40.0))
    plain, shown = forecast_due(model, outlook, tasks), due_range(model, outlook, tasks)
    assert (shown[:, 1:] == plain[:, 1:]).all()
    assert (shown[:, 0] <= plain[:, 0]).all()
    earlier = np.flatnonzero(shown[:, 0] < plain[:, 0])
    assert earlier.size
    before = np.where(np.isfinite(shown[:, 0]), shown[:, 0], 120.0) - SURPRISE_DAYS - 1
    sooner = np.flatnonzero(before >= 0)
    chance = [
        due_chance(model, outlook, DueTasks([i], [40.0]), [int(before[i])])[0, 0] for i in sooner
    ]
    assert max(chance) < SURPRISE_PART * QUANTILES[0]
    # and no earlier than that asks for
    at = int(shown[earlier[0], 0]) - SURPRISE_DAYS
    reached = due_chance(model, outlook, DueTasks([earlier[0]], [40.0]), [at])[0, 0]
    assert reached >= SURPRISE_PART * QUANTILES[0]


def test_no_service_is_due_sooner_than_the_clock_allows():
    """Use in large lumps might by the law run 200 hours overnight; a day has 24."""
    cleaned, about = lumpy_fleet()
    law = UseLaw(lump=40.0, spread=0.6)
    left = np.linspace(10.0, 300.0, 30)
    tasks = DueTasks(np.arange(30), left)
    found, reached = {}, {}
    for most in (24.0, 6.0, 1.0):
        clock = replace(about, most_a_day=most)
        model = fit_fleet(cleaned, clock, law)
        outlook = look_ahead(model, cleaned, clock)
        found[most] = due_range(model, outlook, tasks)
        # whole days since the reading, today among them
        reached[most] = (about.origin - cleaned.last_day + found[most][:, 0] + 1) * most
        assert (reached[most] >= left).all()
        assert (due_chance(model, outlook, tasks, [0])[left > most * 8] == 0).all()
    assert (found[1.0] >= found[24.0]).all()
    assert (found[1.0][:, 0] > found[24.0][:, 0]).any()


def test_no_service_is_due_sooner_than_the_machines_own_most_allows():
    cleaned, about = lumpy_fleet()
    model = fit_fleet(cleaned, about, UseLaw(lump=40.0, spread=0.6))
    outlook = look_ahead(model, cleaned, about)
    left = 30 * cleaned.ceiling
    early = due_range(model, outlook, DueTasks(np.arange(30), left))[:, 0]
    assert (early >= 22).all()


def lumpy_fleet():
    """Make thirty machines that run three days in a row every two months, read weekly."""
    rng = np.random.default_rng(5)
    machine = np.repeat(np.arange(30), 40)
    day = np.tile(np.arange(40) * 7.0, 30)
    use = np.where(rng.random((30, 40)) < 0.12, rng.uniform(10, 30, (30, 40)), 0.0)
    value = np.cumsum(use, axis=1).ravel()
    cleaned = clean(Readings(machine, day, value), Swaps.none(), 30)
    return cleaned, UseCircumstances(np.zeros(30, dtype=np.int64), 280.0)
