import numpy as np
import pytest

from scheduling.core.usage import UseIntervals
from scheduling.core.usage.bursts import add_up, fit_bursts, squared_deviations


def intervals(use, days=10.0):
    use = np.asarray(use, dtype=float)
    m, n = use.shape
    start = np.tile(np.arange(n) * days, m)
    return UseIntervals(
        np.repeat(np.arange(m), n), start, start + days, np.full(m * n, days), use.ravel(), m
    )


def simulated(lumps, n=200, seed=3):
    """Gamma use of mean 1 a day over ten days, with these lumps."""
    rng = np.random.default_rng(seed)
    lumps = np.asarray(lumps)[:, None]
    return intervals(rng.gamma(10.0 / lumps, lumps, (lumps.size, n)))


def test_mean_deviation_is_the_lump():
    seen = simulated([2.0])
    z = squared_deviations(seen, np.ones(1), np.ones(1))
    assert z.mean() == pytest.approx(2.0, rel=0.25)


def test_bursty_machines_are_told_from_even_ones():
    seen = simulated([0.5, 0.5, 0.5, 6.0])
    z = squared_deviations(seen, np.ones(4), np.ones(4))
    model, deviations = fit_bursts(z, seen, np.zeros(4, dtype=int))
    factor = model.factor(deviations, np.zeros(4, dtype=int))
    assert factor[3] > 5 * factor[:3].max()


def test_a_machine_of_which_nothing_is_known_has_its_groups_factor():
    seen = simulated([0.5, 0.5, 6.0, 6.0])
    z = squared_deviations(seen, np.ones(4), np.ones(4))
    model, _ = fit_bursts(z, seen, np.array([0, 0, 1, 1]))
    nothing = add_up(np.zeros(0), intervals(np.zeros((3, 0))), model.cap)
    factor = model.factor(nothing, np.array([0, 1, 9]))
    assert factor.tolist() == pytest.approx([model.group[0], model.group[1], 1.0])


def test_intervals_under_a_day_say_nothing():
    seen = intervals([[5.0, 5.0]], days=0.5)
    assert np.isnan(squared_deviations(seen, np.ones(1), np.ones(1))).all()
