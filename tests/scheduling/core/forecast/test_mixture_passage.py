import numpy as np
import pytest
from scipy.stats import gamma

from scheduling.core.forecast.mixture_passage import MixturePassage, trusted
from scheduling.core.usage import RatePosterior, UseLaw
from scheduling.core.usage.law import LUMP_POWER


def posterior(rates, weights, scale=1.0, lump=2.0):
    weights = np.atleast_2d(np.asarray(weights, dtype=float))
    m = weights.shape[0]
    return RatePosterior(
        np.asarray(rates, dtype=float),
        weights,
        np.full(m, scale),
        np.full(m, lump),
        np.full(m, 50.0),
    )


def test_one_class_is_a_gamma_law_of_the_stated_mean_and_variance():
    law = UseLaw(lump=2.0, spread=0.05, rest=0.0)
    passage = MixturePassage(law, posterior([0.5], [1.0]), np.array([0]), np.array([8.0]))
    mean = 0.5 * 30
    variance = 2.0 * 0.5**LUMP_POWER * mean + 0.05 * mean**2
    expected = gamma.sf(8.0, mean**2 / variance, scale=variance / mean)
    assert passage(np.array([30.0]))[0] == pytest.approx(expected)


def test_classes_add_up_by_their_chances_and_some_machines_rest():
    law = UseLaw(lump=2.0, rest=0.1)
    both = posterior([0.5, 3.0], [0.25, 0.75])
    alone = [posterior([rate], [1.0]) for rate in (0.5, 3.0)]
    ask = (np.array([0]), np.array([20.0]))
    single = [MixturePassage(law, one, *ask)(np.array([9.0]))[0] for one in alone]
    found = MixturePassage(law, both, *ask)(np.array([9.0]))[0]
    assert found == pytest.approx(0.25 * single[0] + 0.75 * single[1])


def test_negligible_classes_are_left_out_without_loss_of_chance():
    law = UseLaw(lump=2.0, rest=0.0)
    passage = MixturePassage(
        law, posterior([1.0, 2.0], [0.999, 0.001]), np.array([0]), np.array([1e-9])
    )
    assert passage.row.size == 1
    assert passage(np.array([1000.0]))[0] == pytest.approx(1.0)


def test_chance_never_falls_with_time():
    law = UseLaw(lump=5.0, spread=0.5)
    passage = MixturePassage(
        law,
        posterior(np.geomspace(0.05, 8, 12), np.full(12, 1 / 12)),
        np.array([0]),
        np.array([30.0]),
    )
    chance = [passage(np.array([float(day)]))[0] for day in range(400)]
    assert (np.diff(chance) >= 0).all()


def test_trust_moves_the_log_odds_and_leaves_one_half():
    chance = np.array([0.0, 0.1, 0.5, 0.9, 1.0])
    less = trusted(chance, 0.5)
    assert less[[0, 2, 4]].tolist() == [0.0, 0.5, 1.0]
    assert less[1] / (1 - less[1]) == pytest.approx(np.sqrt(0.1 / 0.9))
    assert less[3] == pytest.approx(1 - less[1])
    assert (trusted(chance, 1.0) == chance).all()


def test_less_trust_widens_and_a_service_due_stays_due():
    plain, wide = UseLaw(), UseLaw(trust=0.6)
    ask = (posterior([1.0], [1.0]), np.array([0, 0]), np.array([30.0, 0.0]))
    days = np.array([15.0, 15.0])
    before, after = (MixturePassage(law, *ask)(days) for law in (plain, wide))
    assert before[0] < after[0] < 0.5
    assert after[1] == 1.0
