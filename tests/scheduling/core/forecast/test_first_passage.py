"""First passage against published laws; the vectors name their sources."""

import numpy as np
import pytest
from scipy.stats import invgauss

from scheduling.core.forecast.first_passage import gamma_passage
from tests.vectors.published import vector

BROWNIAN, BROWNIAN_EXPECTED = vector("REL-07")
GAMMA, GAMMA_EXPECTED = vector("REL-08")


def gamma_process(days):
    """P(T ≤ t) of the gamma process of REL-08 by our own function."""
    given = GAMMA
    shape = given["c_per_day"] * np.asarray(days, dtype=float)
    return gamma_passage(given["a_hours"], shape / given["u_per_hour"], shape)


@pytest.mark.parametrize("row", GAMMA_EXPECTED["cdf"])
def test_passage_of_a_gamma_process_is_the_published_chance(row):
    day, exact, approximate = row
    assert gamma_process([day])[0] == pytest.approx(exact, abs=1e-3)
    assert approximate != pytest.approx(exact, abs=1e-3)  # it is an approximation


def test_mean_and_median_passage_are_the_published_ones():
    days = np.linspace(0, 60, 60_001)
    chance = gamma_process(days)
    assert np.trapezoid(1 - chance, days) == pytest.approx(GAMMA_EXPECTED["mean"], abs=0.02)
    median = days[np.argmax(chance >= 0.5)]
    assert median == pytest.approx(GAMMA_EXPECTED["median"], abs=1e-3)


def birnbaum_saunders(level, rate, lump):
    """Return α and β of the law near a gamma process's passage; level R, rate r, lump φ.

    T ~ BS(α, β), α = √(φ/R), β = R/r: median β, mean β(1 + α²/2) (Z. W. Birnbaum and
    S. C. Saunders, J. Applied Probability 6, 1969, doi:10.2307/3212003; C. Park and W. J. Padgett,
    Lifetime Data Analysis 11, 2005).
    """
    return float(np.sqrt(lump / level)), level / rate


def test_birnbaum_saunders_has_the_published_parameters():
    given, expected = GAMMA, GAMMA_EXPECTED
    rate, lump = given["c_per_day"] / given["u_per_hour"], 1 / given["u_per_hour"]
    alpha, beta = birnbaum_saunders(given["a_hours"], rate, lump)
    assert alpha == pytest.approx(expected["bs_alpha"], abs=1e-6)
    assert beta == pytest.approx(expected["bs_beta"])
    assert beta * (1 + alpha**2 / 2) == pytest.approx(expected["bs_mean"], abs=1e-3)


def inverse_gaussian(level):
    """The passage of the Brownian motion of REL-07 over a level, mean a/v and shape a²/s²."""
    drift, spread = BROWNIAN["drift_h_per_day"], BROWNIAN["sigma_per_sqrt_day"]
    shape = level**2 / spread**2
    return invgauss(mu=level / drift / shape, scale=shape)


def gamma_like_brownian(level, days):
    """Our chance for a gamma process of the same mean and variance as REL-07."""
    mean = BROWNIAN["drift_h_per_day"] * days
    return gamma_passage(level, mean, mean**2 / (BROWNIAN["sigma_per_sqrt_day"] ** 2 * days))


def test_the_inverse_gaussian_law_is_the_published_one():
    law, expected = inverse_gaussian(BROWNIAN["hours_left_a"]), BROWNIAN_EXPECTED
    days = [expected["q05"], expected["q50"], expected["q90"]]
    assert law.cdf(days) == pytest.approx([0.05, 0.5, 0.9], abs=1e-3)
    assert law.mean() == pytest.approx(expected["mean"])
    assert law.var() == pytest.approx(expected["variance"])
    assert law.cdf(expected["mean"]) == pytest.approx(expected["cdf_at_mean"], abs=1e-5)


def test_our_passage_lies_within_a_third_of_a_day_of_the_published_one():
    """Ours comes a little later: a Brownian motion may pass the level and fall back."""
    days = np.linspace(1, 30, 29_001)
    chance = gamma_like_brownian(BROWNIAN["hours_left_a"], days)
    ours = [days[np.argmax(chance >= q)] for q in (0.05, 0.5, 0.9)]
    published = [BROWNIAN_EXPECTED[name] for name in ("q05", "q50", "q90")]
    assert ours == pytest.approx(published, abs=1 / 3)


def test_over_far_levels_the_two_laws_meet():
    level = 1000.0 * BROWNIAN["hours_left_a"]
    days = inverse_gaussian(level).ppf([0.05, 0.5, 0.9])
    assert gamma_like_brownian(level, days) == pytest.approx([0.05, 0.5, 0.9], abs=0.005)


@pytest.mark.parametrize(
    ("level", "mean", "shape", "chance"),
    [
        (0.0, 5.0, 2.0, 1.0),  # nothing left
        (-3.0, 0.0, 0.0, 1.0),  # passed already
        (4.0, 0.0, 0.0, 0.0),  # no use expected
        (np.inf, 5.0, 2.0, 0.0),  # never due
    ],
)
def test_the_ends_of_the_scale_are_certain(level, mean, shape, chance):
    assert gamma_passage(np.array([level]), np.array([mean]), np.array([shape]))[0] == chance
