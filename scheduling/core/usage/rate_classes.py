"""Rate classes: how a fleet's machines are spread from nearly idle to busy.

A fleet that mixes busy and idle machines has rates over two decades, so a machine with few
readings must not be drawn to one mean. The spread is a histogram over fixed classes of rate,
learnt from the fleet itself by the EM algorithm (N. Laird, Nonparametric maximum likelihood
estimation of a mixing distribution, JASA 73, 1978, doi:10.1080/01621459.1978.10480103).

Use is a gamma process (M. Abdel-Hameed, A gamma wear process, IEEE Trans. Reliability 24, 1975,
doi:10.1109/TR.1975.5215123):
in N effective days a machine of class g runs X/m ~ Gamma(shape λ_g N/φ_g, scale φ_g), with m the
mean rate of its group, so that its mean is λ_g N and its variance φ_g λ_g N, φ_g = φ f λ_g^b.
"""

import numpy as np
from scipy.special import gammaln

from scheduling.core.usage.flat_arrays import Floats, Ints
from scheduling.core.usage.law import LUMP_POWER
from scheduling.core.usage.memory import Remembered

SLOWEST, FASTEST = -5.0, 3.5
"""The classes reach from 2^-5 to 2^3.5 times the group's mean rate."""

FEWEST_CLASSES, MOST_CLASSES = 20, 160
"""Number of classes: few where use is lumpy, many where steady use tells rates well apart."""

LEAST_USE = 0.3
"""Least use counted, in days at the mean rate: a still meter is no proof of a rate of 0."""

LEAST_DAYS = 0.5
"""A machine remembered for fewer days than this says nothing of its class."""

FLEET_ROUNDS, FLEET_SPREAD = 40, 1000.0
"""Rounds of EM for the fleet, and pseudo-machines spread evenly over the classes. Choices: half or
twice as many change the loss of `forecast_benchmark` by less than 0.1 %."""

GROUP_ROUNDS, GROUP_SPREAD, GROUP_LEAST = 20, 2.0, 10
"""The same for a group (spread as the fleet's), and the fewest machines that make one. Choices:
half the pseudo-machines change the loss by less than 0.1 %, four times as many add 0.2 %."""


def class_rates(lump: float) -> Floats:
    """Return λ_g, the classes' rates in units of the group's mean rate, shape (classes,).

    The spread of the belief about a rate falls as √φ, and so does the step between classes.
    """
    n = round(FEWEST_CLASSES * np.sqrt(8.0 / lump))
    n = int(np.clip(n, FEWEST_CLASSES, MOST_CLASSES))
    return np.exp2(np.linspace(SLOWEST, FASTEST, n))


def off_the_classes(rates: Floats, own: Floats) -> Floats:
    """Return how far each rate lies from the nearest class, in steps of -1/2 to 1/2; shape (m,).

    Args:
        rates: λ_g, shape (classes,).
        own: rates in the same unit, shape (m,); beyond the classes the last one is the nearest.

    """
    step = np.log2(rates[1] / rates[0])
    place = np.log2(np.clip(own, rates[0], rates[-1]) / rates[0]) / step
    return np.asarray(place - np.round(place))


def shares_between(shares: Floats, off: Floats) -> Floats:
    """Return shares of classes that lie `off` steps above these, drawn in between; (m, classes).

    Args:
        shares: shares of each machine's classes, adding up to 1; shape (m, classes).
        off: steps by which each machine's classes are moved, -1/2 to 1/2; shape (m,).

    """
    part = np.abs(off)[:, None]
    up = np.concatenate([shares[:, 1:], shares[:, -1:]], axis=1)
    down = np.concatenate([shares[:, :1], shares[:, :-1]], axis=1)
    moved = (1 - part) * shares + part * np.where(off[:, None] > 0, up, down)
    return np.asarray(moved / moved.sum(axis=1, keepdims=True))


def class_likelihood(rates: Floats, seen: Remembered, lump: Floats) -> Floats:
    """Return L_g = x^(k−1) e^(−x/φ_g) / (Γ(k) φ_g^k), k = λ_g N/φ_g, up to a factor a machine.

    The density of a gamma process, doi:10.1109/TR.1975.5215123.

    Args:
        rates: λ_g, shape (classes,).
        seen: remembered use in days at the group's mean rate, and effective days, of m machines.
        lump: φ f of each machine, in days at the mean rate, shape (m,).

    Returns:
        Likelihood of each class, the best one scaled to 1; shape (m, classes). All 1 where less
        than half a day is remembered.

    """
    x = np.maximum(seen.use, LEAST_USE)[:, None]
    scale = lump[:, None] * rates**LUMP_POWER
    shape = rates * np.maximum(seen.days, LEAST_DAYS)[:, None] / scale
    log = (shape - 1) * np.log(x) - x / scale - gammaln(shape) - shape * np.log(scale)
    # only ratios matter, and years of readings would otherwise run below the smallest number
    log -= log.max(axis=1, keepdims=True)
    return np.where(seen.days[:, None] < LEAST_DAYS, 1.0, np.exp(log))


def posterior(likelihood: Floats, shares: Floats) -> Floats:
    """Return p_g ∝ ρ_g L_g, the chance of each class for each machine; shape (m, classes)."""
    weight = likelihood * shares
    return weight / weight.sum(axis=1, keepdims=True)


def fleet_shares(likelihood: Floats) -> Floats:
    """Return the classes' shares ρ_g in the fleet by EM; shape (classes,), adding up to 1.

    Laird 1978, doi:10.1080/01621459.1978.10480103, with FLEET_SPREAD machines spread evenly: the
    bare estimate puts all machines on a few classes, and leaves no room for one not yet seen.

    Args:
        likelihood: L_g of each machine, shape (m, classes).

    """
    even = np.full(likelihood.shape[1], 1.0 / likelihood.shape[1])
    return _em(likelihood, even, FLEET_SPREAD, FLEET_ROUNDS)


def group_shares(likelihood: Floats, group: Ints, n_groups: int, fleet: Floats) -> Floats:
    """Return each group's shares by EM, drawn to the fleet's; shape (groups, classes).

    As `fleet_shares` (doi:10.1080/01621459.1978.10480103); a group of few machines has the fleet's.

    Args:
        likelihood: L_g of each machine, shape (m, classes).
        group: index of each machine's group, shape (m,).
        n_groups: number of groups.
        fleet: the fleet's shares, shape (classes,).

    """
    shares = np.repeat(fleet[None, :], n_groups, axis=0)
    for g in np.flatnonzero(np.bincount(group, minlength=n_groups) >= GROUP_LEAST):
        shares[g] = _em(likelihood[group == g], fleet, GROUP_SPREAD, GROUP_ROUNDS)
    return shares


def _em(likelihood: Floats, prior: Floats, spread: float, rounds: int) -> Floats:
    """Alternate between the machines' chances and the shares that they add up to.

    Only the sums over machines are needed: Σ_i p_ig = ρ_g Σ_i L_ig / (L_i · ρ).
    """
    shares, n = prior, likelihood.shape[0]
    for _ in range(rounds):
        found = shares * ((1.0 / (likelihood @ shares)) @ likelihood)
        shares = (found + spread * prior) / (n + spread)
    return shares
