import numpy as np
import pytest

from scheduling.core.forecast import Circumstances, tune_law
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
    return tune_law(cleaned, Circumstances(np.zeros(machines, dtype=int), float(days)))


def test_an_even_fleet_gets_small_lumps_and_a_bursty_one_keeps_large_ones():
    even, bursty = tuned(0.1), tuned(6.0)
    assert even.lump < 1.0
    assert bursty.lump > 3.0


@pytest.mark.parametrize("machines", [0, 5])
def test_a_fleet_whose_past_says_little_keeps_the_defaults(machines):
    assert tuned(0.1, machines=machines) == UseLaw()
