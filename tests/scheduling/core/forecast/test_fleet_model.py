import json

import numpy as np
import pytest

from scheduling.core.forecast import (
    DueTasks,
    FleetModel,
    Hires,
    UseCircumstances,
    due_at_life,
    due_chance,
    fit_fleet,
    forecast_due,
    look_ahead,
)
from scheduling.core.usage import DayWeights, Readings, Swaps, UseLaw, clean

M, ORIGIN = 60, 300.0
RNG = np.random.default_rng(8)
DAYS = np.sort(RNG.uniform(0, 300, (M, 20)), axis=1)
VALUES = RNG.uniform(1, 9, M)[:, None] * DAYS
READINGS = Readings(np.repeat(np.arange(M), 20), DAYS.ravel(), VALUES.ravel())
GROUP = np.arange(M) % 3


def hires_of(machines):
    """Five days out in ten, past and for two weeks to come."""
    first = np.tile(np.arange(100, 314, 10), machines)
    who = np.repeat(np.arange(machines), 22)
    return Hires(who, first, first + 4, np.ones(machines, dtype=bool))


@pytest.mark.parametrize("hires", [None, hires_of(M)], ids=["no bookings", "bookings"])
def test_one_machine_forecast_again_from_a_kept_model_gets_the_same_days(hires):
    cleaned = clean(READINGS, Swaps.none(), M)
    about = UseCircumstances(GROUP, ORIGIN, hires)
    model = fit_fleet(cleaned, about)
    life = cleaned.last_life + 100
    whole = forecast_due(
        model, look_ahead(model, cleaned, about), due_at_life(cleaned, np.arange(M), life)
    )

    kept = FleetModel.from_dict(json.loads(json.dumps(model.to_dict())))
    own = READINGS.machine == 7
    one = clean(
        Readings(np.zeros(20, dtype=int), READINGS.day[own], READINGS.value[own]),
        Swaps.none(),
        1,
        kept.ceiling,
    )
    here = UseCircumstances(GROUP[7:8], ORIGIN, None if hires is None else hires_of(1))
    again = forecast_due(
        kept, look_ahead(kept, one, here), due_at_life(one, np.array([0]), life[7])
    )
    np.testing.assert_array_equal(again[0], whole[7])


def test_a_machine_booked_out_falls_due_sooner_than_one_in_the_yard():
    cleaned = clean(READINGS, Swaps.none(), M)
    usual = hires_of(M)
    out = Hires(
        np.append(usual.machine, 0),
        np.append(usual.first, 300),
        np.append(usual.last, 330),
        usual.covered,
    )
    chances = []
    for hires in (usual, out):
        about = UseCircumstances(GROUP, ORIGIN, hires)
        model = fit_fleet(cleaned, about, UseLaw())
        outlook = look_ahead(model, cleaned, about)
        chances.append(due_chance(model, outlook, DueTasks([0], [80.0]), [10, 23, 30])[0])
    assert (chances[1] > chances[0]).all()


def test_a_machine_in_storage_falls_due_no_sooner_than_it_comes_out():
    cleaned = clean(READINGS, Swaps.none(), M)
    weight = np.ones((M, 500))
    weight[0, 300:350] = 0.0
    about = UseCircumstances(GROUP, ORIGIN, day_weights=DayWeights(0, weight))
    model = fit_fleet(cleaned, about, UseLaw())
    age = ORIGIN - cleaned.last_day[0]
    far = VALUES[0, -1] / DAYS[0, -1] * (age + 20)
    days = forecast_due(model, look_ahead(model, cleaned, about), DueTasks([0], [far]))[0]
    assert days[0] >= 50


def test_a_fleet_without_any_reading_goes_by_what_the_owner_expects():
    cleaned = clean(Readings.none(), Swaps.none(), 2)
    days = []
    for usual in (2.0, 8.0):
        about = UseCircumstances(np.zeros(2, dtype=int), ORIGIN, usual_rate=usual)
        model = fit_fleet(cleaned, about)
        days.append(
            forecast_due(model, look_ahead(model, cleaned, about), DueTasks([0], [60.0]))[0]
        )
    assert days[1][0] < days[0][0]
    assert np.isinf(days[0][2])
