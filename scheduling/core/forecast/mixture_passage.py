"""First passage of a machine whose rate class is not known for sure."""

import numpy as np
from scipy.special import expit, logit

from scheduling.core.forecast.first_passage import gamma_passage
from scheduling.core.usage import LUMP_POWER, Floats, Ints, RatePosterior, UseLaw, floats

NEGLIGIBLE = 0.003
"""Chance of a class below which it is left out of a machine's forecast: a choice of speed. What is
left is scaled up to 1 again, so a forecast moves by about as much as was left out."""


class MixturePassage:
    """F(E) = (1 − π) Σ_g p_g · Q(k_g, k_g (R/m)/μ_g) for a set of thresholds, trusted by τ.

    μ_g = λ_g E is the expected use in E effective days and k_g = μ_g/(φ_g + c₀ μ_g) its shape,
    φ_g = φ f λ_g^b, so that the variance is that of the law (`scheduling.core.usage.law`); F = 1
    where R ≤ 0. F never falls in E: both k_g and μ_g/k_g never do. Where the law's trust τ is not
    1, what is returned is F^τ / (F^τ + (1 − F)^τ).

    Classes of negligible chance are left out; what remains is one flat list of task and class.
    """

    def __init__(self, law: UseLaw, rates: RatePosterior, machine: Ints, remaining: Floats) -> None:
        # most of a machine's classes are ruled out by its readings; leaving them out makes the
        # costly incomplete gamma function do a fraction of the work
        weights = rates.weights[machine]
        self.row, which = np.nonzero(weights > NEGLIGIBLE)
        weight = weights[self.row, which]
        total = np.bincount(self.row, weight, machine.size)
        # F never gets past 1 − π: some machines come to rest and never get there at all
        self.weight = (1 - law.rest) * weight / total[self.row]
        self.rate = rates.rates[which]
        self.lump = rates.lump[machine][self.row] * self.rate**LUMP_POWER
        self.spread, self.trust = law.spread, law.trust
        self.level = remaining / rates.scale[machine]
        self.flat_level = self.level[self.row]

    def __call__(self, effective: Floats) -> Floats:
        """Return F for one number of effective days a task, shape (n,)."""
        mean = self.rate * effective[self.row]
        shape = mean / (self.lump + self.spread * mean)
        passed = gamma_passage(self.flat_level, mean, shape)
        chance = floats(np.bincount(self.row, self.weight * passed, self.level.size))
        return np.where(self.level <= 0, 1.0, trusted(chance, self.trust))


def trusted(chance: Floats, trust: float) -> Floats:
    """Return chances whose log-odds are multiplied by `trust`, of the same shape.

    Temperature scaling, arXiv:1706.04599, with trust as the inverse of the temperature: below 1 it
    draws every chance towards one half, so the middle day stays and both ends move outwards; above
    1 they move inwards.

    """
    if trust == 1:
        return chance
    return np.asarray(expit(trust * logit(np.clip(chance, 0.0, 1.0))))
