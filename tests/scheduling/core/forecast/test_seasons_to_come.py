from dataclasses import replace

import numpy as np
import pytest

from scheduling.core.forecast import (
    DueTasks,
    FleetModel,
    UseCircumstances,
    due_chance,
    fit_fleet,
    forecast_due,
    look_ahead,
)
from scheduling.core.forecast.seasons_to_come import PARTS, seasons_to_come
from scheduling.core.usage import DayWeights, Readings, Swaps, UseLaw, clean

TODAY = 240


def winter(day):
    """Use of each day, least 120 days ago."""
    return np.exp(-np.cos(2 * np.pi * (day - TODAY + 120) / 365.25))


def lines(pace, days=TODAY, m=8, group=None):
    """Machines read weekly up to the origin, day 240."""
    day = np.arange(TODAY - days, TODAY)
    life = np.concatenate([[0.0], np.cumsum(pace(day))])[::7]
    at = TODAY - days + 7.0 * np.arange(life.size)
    rates = np.linspace(1, 4, m)[:, None]
    read = Readings(np.repeat(np.arange(m), life.size), np.tile(at, m), (rates * life).ravel())
    about = UseCircumstances(np.zeros(m, dtype=int) if group is None else group, float(TODAY))
    return clean(read, Swaps.none(), m), about


def even(day):
    return np.ones(day.size)


def answers(cleaned, about):
    model = fit_fleet(cleaned, about, UseLaw(lump=1.0))
    outlook = look_ahead(model, cleaned, about)
    return forecast_due(model, outlook, DueTasks([4], [150.0]))[0], model, outlook


def test_a_fleet_past_its_winter_is_not_thought_idle_for_good():
    cleaned, about = lines(winter)
    (early, middle, late), model, _ = answers(cleaned, about)
    rate = np.linspace(1, 4, 8)[4]
    true = np.argmax(np.cumsum(rate * winter(TODAY + np.arange(120))) >= 150)
    assert early <= true <= late
    assert abs(middle - true) < 8
    assert model.seasons.mean[0, 3] > 1.5 * model.seasons.past[0, 0]


def test_an_even_year_and_a_known_one_need_no_courses():
    assert seasons_to_come(*lines(even, days=380, m=20)) is None
    assert seasons_to_come(*lines(winter, days=420)) is None


def test_a_season_that_the_owner_states_is_not_looked_for_again():
    cleaned, about = lines(winter)
    day = np.arange(TODAY + 121)
    stated = replace(about, day_weights=DayWeights(0, winter(day)[None, :]))
    assert seasons_to_come(cleaned, stated) is None
    alike = replace(about, day_weights=DayWeights(0, np.full((1, TODAY + 121), 1.0)))
    assert seasons_to_come(cleaned, alike) is not None


def test_two_machines_or_a_month_tell_nothing():
    assert seasons_to_come(*lines(winter, m=2)) is None
    assert seasons_to_come(*lines(winter, days=30)) is None


def test_groups_have_courses_of_their_own_and_small_ones_those_of_the_fleet():
    group = np.array([0, 0, 0, 0, 1, 1, 1, 2])
    cleaned, about = lines(winter, group=group)
    found = seasons_to_come(cleaned, about)
    assert found.past.shape[0] == 4
    assert (found.coming[:, 2] == found.coming[:, 3]).all()
    unmet = replace(about, group=group + 9)
    assert found.weighed(unmet, cleaned).day_weights.weight[0] == pytest.approx(
        found.weighed(replace(about, group=np.full(8, 2)), cleaned).day_weights.weight[0]
    )


def test_the_chance_is_the_mean_over_the_courses_and_certain_where_all_are():
    cleaned, about = lines(winter)
    _, model, outlook = answers(cleaned, about)
    tasks = DueTasks([4, 4], [150.0, 0.0])
    each = [
        due_chance(model, replace(outlook, clock=clock, courses=()), tasks, [20, 30])
        for clock in outlook.courses
    ]
    whole = due_chance(model, outlook, tasks, [20, 30])
    assert whole == pytest.approx(np.tensordot(PARTS, each, axes=1))
    assert (whole[1] == 1).all()
    assert each[0][0, 1] < each[-1][0, 1]


def test_the_mean_clock_is_that_of_the_courses():
    cleaned, about = lines(winter)
    _, _, outlook = answers(cleaned, about)
    each = np.stack([clock.effective for clock in outlook.courses])
    assert np.tensordot(PARTS, each, axes=1) == pytest.approx(outlook.clock.effective, rel=1e-3)


def test_a_model_is_kept_with_its_courses():
    cleaned, about = lines(winter)
    days, model, _ = answers(cleaned, about)
    kept = FleetModel.from_dict(model.to_dict())
    again = forecast_due(kept, look_ahead(kept, cleaned, about), DueTasks([4], [150.0]))[0]
    assert (again == days).all()
