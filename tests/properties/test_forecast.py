"""What must hold of any forecast, whatever the readings."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.core.forecast import (
    DueTasks,
    UseCircumstances,
    due_chance,
    fit_fleet,
    forecast_due,
    look_ahead,
)
from scheduling.core.usage import LUMP_POWER, Readings, Swaps, UseLaw, clean

ORIGIN = 20_000.0
LAW = UseLaw()


@st.composite
def fleets(draw):
    """Up to a dozen machines with up to eight readings each, some of them nonsense."""
    m = draw(st.integers(1, 12))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    counts = rng.integers(0, 9, m)
    machine = np.repeat(np.arange(m), counts)
    day = np.round(ORIGIN - rng.exponential(60, machine.size), 2)
    rate = np.exp(rng.normal(1, 1, m))
    value = 5000 + rate[machine] * (day - ORIGIN + 400) + rng.exponential(5, machine.size)
    wrong = rng.random(machine.size) < draw(st.sampled_from([0.0, 0.1, 0.5]))
    value[wrong] = rng.choice([0.0, 1e7, np.nan, np.inf, -5.0, 3.0], wrong.sum())
    return Readings(machine, day, value), m


def stand(readings, m, origin=ORIGIN):
    cleaned = clean(readings, Swaps.none(), m)
    about = UseCircumstances(np.arange(m) % 2, origin)
    model = fit_fleet(cleaned, about, LAW)
    return model, look_ahead(model, cleaned, about)


def days(readings, m, remaining, origin=ORIGIN):
    model, outlook = stand(readings, m, origin)
    return forecast_due(model, outlook, DueTasks(np.arange(m), np.full(m, remaining)))


@given(fleets(), st.floats(-10, 3000))
@settings(max_examples=60, deadline=None)
def test_quantiles_never_cross_and_lie_in_the_horizon(fleet, remaining):
    found = days(*fleet, remaining)
    assert (found[:, 0] <= found[:, 1]).all()
    assert (found[:, 1] <= found[:, 2]).all()
    assert ((found >= 0) & ((found <= 120) | np.isinf(found))).all()


@given(fleets(), st.floats(0, 500), st.floats(0, 500))
@settings(max_examples=60, deadline=None)
def test_a_later_threshold_never_comes_sooner(fleet, remaining, more):
    assert (days(*fleet, remaining + more) >= days(*fleet, remaining)).all()


@given(fleets(), st.floats(1, 1000))
@settings(max_examples=40, deadline=None)
def test_chances_lie_in_0_to_1_and_never_fall(fleet, remaining):
    model, outlook = stand(*fleet)
    tasks = DueTasks(np.arange(fleet[1]), np.full(fleet[1], remaining))
    chance = due_chance(model, outlook, tasks, np.arange(121))
    assert ((chance >= 0) & (chance <= 1)).all()
    assert (np.diff(chance, axis=1) >= -1e-12).all()


@given(fleets(), st.floats(1, 1000), st.integers(-15_000, 15_000))
@settings(max_examples=40, deadline=None)
def test_shifting_all_dates_shifts_the_answer_with_them(fleet, remaining, shift):
    readings, m = fleet
    moved = Readings(readings.machine, readings.day + shift, readings.value)
    here, there = days(readings, m, remaining), days(moved, m, remaining, ORIGIN + shift)
    np.testing.assert_allclose(np.minimum(here, 121), np.minimum(there, 121), atol=1)


@given(fleets(), st.floats(1, 1000), st.sampled_from([0.25, 8.0, 1024.0]))
@settings(max_examples=40, deadline=None)
def test_units_do_not_matter(fleet, remaining, unit):
    readings, m = fleet
    other = Readings(readings.machine, readings.day, readings.value * unit)
    if np.nanmax(np.abs(readings.value), initial=0) == 0:
        return
    model, _ = stand(readings, m)
    if model.rates.fleet_rate == 1.0:  # nothing ever ran: one unit a day is as good as any
        return
    here, there = days(readings, m, remaining), days(other, m, remaining * unit)
    np.testing.assert_allclose(np.minimum(here, 121), np.minimum(there, 121), atol=1)


@given(fleets(), st.floats(1, 1000), st.randoms(use_true_random=False))
@settings(max_examples=40, deadline=None)
def test_the_order_of_readings_does_not_matter(fleet, remaining, random):
    readings, m = fleet
    order = list(range(readings.day.size))
    random.shuffle(order)
    order = np.array(order, dtype=int)
    mixed = Readings(readings.machine[order], readings.day[order], readings.value[order])
    np.testing.assert_array_equal(days(readings, m, remaining), days(mixed, m, remaining))


@given(st.floats(0.5, 8), st.floats(1.05, 3))
@settings(max_examples=30, deadline=None)
def test_more_use_never_falls_due_later(rate, times):
    """Of two machines of one fleet, read on the same days, the busier one comes first."""
    day = ORIGIN - np.arange(10, -1, -1) * 9.0
    rates = np.array([rate, rate * times, *np.linspace(0.5, 20, 20)])
    value = rates[:, None] * (day - day[0])
    machine = np.repeat(np.arange(22), day.size)
    found = days(Readings(machine, np.tile(day, 22), value.ravel()), 22, 60.0)
    assert (found[1] <= found[0]).all()


def simulated(lump, seed, machines=900, read_every=9):
    """A fleet that follows the law of use with these lumps, and what it ran afterwards."""
    rng = np.random.default_rng(seed)
    rate = np.exp(rng.normal(0, 0.7, machines))[:, None]
    scale = lump * rate**LUMP_POWER
    use = 3.0 * rng.gamma(rate / scale, scale, (machines, 420))
    life = np.cumsum(use, axis=1)
    read = np.arange(8, 300, read_every)
    day = np.tile(ORIGIN - 300 + read + 1.0, machines)
    readings = Readings(np.repeat(np.arange(machines), read.size), day, life[:, read].ravel())
    ran = life[:, 300:] - life[:, read[-1]][:, None]
    return readings, 3.0 * rate[:, 0], ran


@pytest.mark.parametrize(("lump", "seed"), [(0.2, 1), (2.0, 2), (6.0, 3)])
def test_of_a_simulated_fleet_each_quantile_covers_its_share(lump, seed):
    """Within three binomial standard errors and one point: rates are learnt, not known.

    Days are whole, so the share is taken half way between "before" and "by" the day.
    """
    readings, rate, ran = simulated(lump, seed)
    m = rate.size
    cleaned = clean(readings, Swaps.none(), m)
    about = UseCircumstances(np.zeros(m, dtype=int), ORIGIN)
    model = fit_fleet(cleaned, about)
    remaining = rate * np.random.default_rng(seed).uniform(15, 60, m)
    outlook = look_ahead(model, cleaned, about)
    found = forecast_due(model, outlook, DueTasks(np.arange(m), remaining))
    reached = ran >= remaining[:, None]
    truth = np.where(reached.any(axis=1), np.argmax(reached, axis=1), 1e6)
    found = np.minimum(found, 1e5)
    for column, share in enumerate((0.1, 0.5, 0.9)):
        day = found[:, column]
        covered = (np.mean(truth < day) + np.mean(truth <= day)) / 2
        assert covered == pytest.approx(share, abs=3 * np.sqrt(share * (1 - share) / m) + 0.01)
