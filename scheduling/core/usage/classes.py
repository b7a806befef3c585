"""Rate classes: how a fleet's machines are spread from nearly idle to busy.

A fleet that mixes busy and idle machines has rates over two decades, so a machine with few
readings must not be drawn to one mean. The spread is a histogram over fixed classes of rate,
learnt from the fleet itself by the EM algorithm (N. Laird, Nonparametric maximum likelihood
estimation of a mixing distribution, JASA 73, 1978).

Use is a gamma process (M. Abdel-Hameed, A gamma wear process, IEEE Trans. Reliability 24, 1975):
in N effective days a machine of class g runs X/m ~ Gamma(shape λ_g N/φ, scale φ), with m the mean
rate of its group, so that its mean is λ_g N and its variance φ λ_g N.
"""

import numpy as np
from scipy.special import gammaln

from scheduling.core.usage.arrays import Floats, Ints

CLASS_RATES: Floats = np.exp2(np.linspace(-6.0, 2.5, 20))
"""λ_g, the classes' rates in units of the group's mean rate."""

LEAST_USE = 0.02
"""Least use counted, in days at the mean rate: a still meter is no proof of a rate of 0."""

LEAST_DAYS = 0.5
"""A machine remembered for fewer days than this says nothing of its class."""

FLEET_ROUNDS, FLEET_SPREAD = 40, 64.0
"""Rounds of EM for the fleet, and pseudo-machines spread evenly over the classes."""

GROUP_ROUNDS, GROUP_SPREAD, GROUP_LEAST = 20, 10.0, 10
"""The same for a group (spread as the fleet's), and the fewest machines that make one."""


def class_likelihood(use: Floats, days: Floats, lump: float) -> Floats:
    """Return L_g = x^(k−1) e^(−x/φ) / (Γ(k) φ^k), k = λ_g N/φ, up to a factor a machine.

    Args:
        use: x = X/m, remembered use in days at the group's mean rate, shape (m,).
        days: N, remembered effective days, shape (m,).
        lump: φ, days at the mean rate that come at one go.

    Returns:
        Likelihood of each class, the best one scaled to 1; shape (m, classes).

    """
    x = np.maximum(use, LEAST_USE)[:, None]
    shape = CLASS_RATES * np.maximum(days, LEAST_DAYS)[:, None] / lump
    log = (shape - 1) * np.log(x) - gammaln(shape) - shape * np.log(lump)
    log -= log.max(axis=1, keepdims=True)
    return np.where(days[:, None] < LEAST_DAYS, 1.0, np.exp(log))


def posterior(likelihood: Floats, shares: Floats) -> Floats:
    """Return p_g ∝ ρ_g L_g, the chance of each class for each machine; shape (m, classes)."""
    weight = likelihood * shares
    return weight / weight.sum(axis=1, keepdims=True)


def fleet_shares(likelihood: Floats) -> Floats:
    """Return the classes' shares ρ_g in the fleet by EM; shape (classes,), adding up to 1."""
    even = np.full(likelihood.shape[1], 1.0 / likelihood.shape[1])
    return _em(likelihood, even, FLEET_SPREAD, FLEET_ROUNDS)


def group_shares(likelihood: Floats, group: Ints, n_groups: int, fleet: Floats) -> Floats:
    """Return each group's shares by EM, drawn to the fleet's; shape (groups, classes)."""
    shares = np.repeat(fleet[None, :], n_groups, axis=0)
    for g in np.flatnonzero(np.bincount(group, minlength=n_groups) >= GROUP_LEAST):
        shares[g] = _em(likelihood[group == g], fleet, GROUP_SPREAD, GROUP_ROUNDS)
    return shares


def _em(likelihood: Floats, prior: Floats, spread: float, rounds: int) -> Floats:
    """Alternate between the machines' chances and the shares that they add up to."""
    shares = prior
    for _ in range(rounds):
        found = posterior(likelihood, shares).sum(axis=0)
        shares = (found + spread * prior) / (likelihood.shape[0] + spread)
    return shares
