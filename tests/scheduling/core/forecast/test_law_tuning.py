import numpy as np
import pytest

from scheduling.core.forecast import UseCircumstances, tune_law
from scheduling.core.forecast.law_tuning import MOST_TRUST
from scheduling.core.usage import Readings, Swaps, UseLaw, clean


def tuned(lump, machines=120, days=240, seed=4):
    """The law fitted to a fleet whose daily use is gamma with these lumps, in days."""
    rng = np.random.default_rng(seed)
    rate = rng.uniform(2, 8, machines)[:, None]
    use = rate * rng.gamma(1 / lump, lump, (machines, days))
    life = np.cumsum(use, axis=1)[:, 6::7]
    day = np.tile(np.arange(7.0, days + 1, 7), machines)
    machine = np.repeat(np.arange(machines), life.shape[1])
    cleaned = clean(Readings(machine, day, life.ravel()), Swaps.none(), machines)
    return tune_law(cleaned, UseCircumstances(np.zeros(machines, dtype=int), float(days)))


def with_long_rests(machines=120, days=300, seed=4):
    """The law fitted to machines that run for weeks and then stand for weeks."""
    rng = np.random.default_rng(seed)
    runs = np.empty((machines, days), dtype=bool)
    for row in runs:
        lengths = rng.gamma(2.0, (30.0, 20.0), (20, 2)).astype(int) + 1
        spells = np.repeat(np.tile([True, False], 20), lengths.ravel())
        row[:] = spells[int(rng.integers(0, 60)) :][:days]
    use = runs * np.exp(rng.normal(0.8, 0.6, (machines, 1))) * rng.gamma(2.0, 0.5, runs.shape)
    life = np.cumsum(use, axis=1)[:, 6::7]
    day = np.tile(np.arange(7.0, days + 1, 7), machines)
    machine = np.repeat(np.arange(machines), life.shape[1])
    cleaned = clean(Readings(machine, day, life.ravel()), Swaps.none(), machines)
    return tune_law(cleaned, UseCircumstances(np.zeros(machines, dtype=int), float(days)))


def test_a_fleet_harder_to_tell_than_the_law_says_has_its_chances_trusted_less():
    assert with_long_rests().trust < 0.95


def test_a_fleet_that_runs_as_the_law_says_has_its_chances_trusted():
    assert tuned(6.0).trust > 0.9


def test_steady_machines_are_told_more_surely_and_never_beyond_the_most():
    assert 1.0 < tuned(0.1).trust <= MOST_TRUST


def test_an_even_fleet_gets_small_lumps_and_a_bursty_one_keeps_large_ones():
    even, bursty = tuned(0.1), tuned(6.0)
    assert even.lump < 1.0
    assert bursty.lump > 3.0


def test_a_fleet_without_a_past_keeps_the_defaults():
    assert tuned(0.1, machines=0) == UseLaw()


@pytest.mark.parametrize(("lump", "least", "most"), [(0.1, 0.0, 1.0), (6.0, 2.0, 14.0)])
def test_a_year_of_five_machines_outweighs_the_default(lump, least, most):
    assert least < tuned(lump, machines=5, days=364).lump < most


def test_two_readings_of_each_machine_say_nothing_of_lumps():
    assert tuned(0.1, machines=5, days=14) == UseLaw()


def test_machines_that_went_up_and_down_together_may_do_so_again():
    """Nobody can know from eight months which season comes next, so the ranges allow for one."""
    rng = np.random.default_rng(2)
    machines, days = 20, 238
    season = 1 + 0.8 * np.sin(2 * np.pi * np.arange(days) / 365)
    laws = []
    for weight in (np.ones(days), season):
        use = 4 * weight * rng.gamma(4.0, 0.25, (machines, days))
        life = np.cumsum(use, axis=1)[:, 6::7]
        day = np.tile(np.arange(7.0, days + 1, 7), machines)
        which = np.repeat(np.arange(machines), life.shape[1])
        cleaned = clean(Readings(which, day, life.ravel()), Swaps.none(), machines)
        about = UseCircumstances(np.zeros(machines, dtype=int), float(days))
        laws.append(tune_law(cleaned, about))
    assert laws[0].spread < 0.02
    assert laws[1].spread > 0.08
