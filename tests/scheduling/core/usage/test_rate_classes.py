import numpy as np
import pytest
from scipy.stats import gamma

from scheduling.core.usage import Remembered
from scheduling.core.usage.law import LUMP_POWER
from scheduling.core.usage.rate_classes import (
    class_likelihood,
    class_rates,
    fleet_shares,
    group_shares,
    off_the_classes,
    posterior,
    shares_between,
)


def test_likelihood_is_the_gamma_density_of_the_use():
    rates, lump = class_rates(7.0), np.array([7.0])
    found = class_likelihood(rates, Remembered(np.array([40.0]), np.array([50.0])), lump)[0]
    scale = 7.0 * rates**LUMP_POWER
    density = gamma.pdf(40.0, rates * 50.0 / scale, scale=scale)
    np.testing.assert_allclose(found, density / density.max(), rtol=1e-10)


def test_a_machine_never_seen_likes_all_classes_alike():
    found = class_likelihood(class_rates(7.0), Remembered(np.zeros(1), np.zeros(1)), np.ones(1))
    assert (found == 1).all()


def test_posterior_is_bayes_rule():
    found = posterior(np.array([[1.0, 0.5]]), np.array([0.25, 0.75]))
    assert found[0].tolist() == pytest.approx([0.4, 0.6])


def test_steady_fleets_get_finer_classes():
    assert class_rates(0.5).size > class_rates(7.0).size
    assert class_rates(1e-3).size == class_rates(0.1).size == 160


def test_groups_find_their_own_spread():
    likelihood = np.repeat(np.array([[1.0, 0.01], [0.01, 1.0]]), 200, axis=0)
    fleet = fleet_shares(likelihood)
    shares = group_shares(likelihood, np.repeat([0, 1], 200), 3, fleet)
    assert fleet.tolist() == pytest.approx([0.5, 0.5])
    assert shares[0, 0] > 0.95
    assert shares[1, 1] > 0.95
    assert shares[2].tolist() == pytest.approx(fleet.tolist())


def test_classes_moved_onto_a_rate_have_it_among_them():
    rates = class_rates(0.5)
    own = np.array([0.2, 1.0, 1.7, 5.0])
    off = off_the_classes(rates, own)
    step = rates[1] / rates[0]
    nearest = np.abs(rates[None, :] * step ** off[:, None] / own[:, None] - 1).min(axis=1)
    assert nearest == pytest.approx(0, abs=1e-9)
    assert (np.abs(off) <= 0.5).all()


def test_shares_of_moved_classes_are_drawn_between_their_neighbours():
    shares = np.array([[0.1, 0.2, 0.7], [0.1, 0.2, 0.7], [0.1, 0.2, 0.7]])
    found = shares_between(shares, np.array([0.0, 0.5, -0.25]))
    assert found[0] == pytest.approx([0.1, 0.2, 0.7])
    assert found[1] == pytest.approx(np.array([0.15, 0.45, 0.7]) / 1.3)
    assert found[2] == pytest.approx(np.array([0.1, 0.175, 0.575]) / 0.85)
