"""What is believed of each machine's rate of use: machine within group within fleet."""

from dataclasses import dataclass, field

import numpy as np

from scheduling.core.usage.arrays import Floats, Ints
from scheduling.core.usage.classes import (
    CLASS_RATES,
    class_likelihood,
    fleet_shares,
    group_shares,
    posterior,
)
from scheduling.core.usage.memory import Memory, Remembered

KNOWN_DAYS = 5.0
"""Remembered days from which a machine counts for its group's mean rate."""

GROUP_SHRINK = 5.0
"""Machines' worth of the fleet's mean rate mixed into each group's."""


@dataclass(frozen=True)
class RateModel:
    """What a fleet teaches about rates.

    Attributes:
        group_rate: m, mean rate of each group in units per day, shape (groups,).
        fleet_rate: mean rate of the fleet, units per day; it serves a group never seen.
        group_shares: class shares of each group, shape (groups, classes).
        fleet_shares: class shares of the fleet, shape (classes,).
        lump: φ, days at the mean rate that come at one go.
        memory: how fast the past fades.

    """

    group_rate: Floats
    fleet_rate: float
    group_shares: Floats
    fleet_shares: Floats
    lump: float = 8.4
    memory: Memory = field(default_factory=Memory)

    def scale_of(self, group: Ints) -> Floats:
        """Return m of each machine, units per day; a group not seen takes the fleet's."""
        known = (group >= 0) & (group < self.group_rate.size)
        return np.where(known, self.group_rate[np.where(known, group, 0)], self.fleet_rate)

    def shares_of(self, group: Ints) -> Floats:
        """Return the class shares of each machine's group, shape (m, classes)."""
        known = (group >= 0) & (group < self.group_rate.size)
        own = self.group_shares[np.where(known, group, 0)]
        return np.where(known[:, None], own, self.fleet_shares)


@dataclass(frozen=True)
class RatePosterior:
    """The chance of each rate class for each machine.

    Attributes:
        rates: λ_g in units of the machine's scale, shape (classes,).
        weights: p_g, adding up to 1 for each machine, shape (m, classes).
        scale: m of the machine's group, units per day, shape (m,).
        days: remembered days behind the belief, shape (m,); under half a day the belief is the
            group's own.

    """

    rates: Floats
    weights: Floats
    scale: Floats
    days: Floats

    @property
    def mean_rate(self) -> Floats:
        """Expected use per effective day, units per day, shape (m,)."""
        return self.scale * (self.weights @ self.rates)


def fit_rates(seen: Remembered, group: Ints, lump: float, memory: Memory) -> RateModel:
    """Learn mean rates and class shares of a fleet and its groups.

    Args:
        seen: remembered use of m machines.
        group: index of each machine's group, shape (m,).
        lump: φ, days at the mean rate that come at one go.
        memory: the memory under which `seen` was added up.

    """
    n_groups = int(group.max(initial=0)) + 1
    known = seen.days > KNOWN_DAYS
    rate = seen.use[known] / seen.days[known]
    fleet_rate = float(rate.mean()) if rate.size and rate.mean() > 0 else _bare_rate(seen)
    total = np.bincount(group[known], rate, n_groups) + GROUP_SHRINK * fleet_rate
    group_rate = total / (np.bincount(group[known], minlength=n_groups) + GROUP_SHRINK)
    likelihood = class_likelihood(seen.use / group_rate[group], seen.days, lump)
    fleet = fleet_shares(likelihood)
    shares = group_shares(likelihood, group, n_groups, fleet)
    return RateModel(group_rate, fleet_rate, shares, fleet, lump, memory)


def _bare_rate(seen: Remembered) -> float:
    """Return use per day of all machines together, or 1 unit a day where nothing ever ran."""
    use, days = seen.use.sum(), seen.days.sum()
    return float(use / days) if use > 0 and days > 0 else 1.0


def estimate_rates(model: RateModel, seen: Remembered, group: Ints) -> RatePosterior:
    """Return what is believed of machines of a fleet already learnt.

    Args:
        model: what the fleet taught.
        seen: remembered use of the machines asked about, shape (m,).
        group: their groups, shape (m,).

    """
    scale = model.scale_of(group)
    likelihood = class_likelihood(seen.use / scale, seen.days, model.lump)
    weights = posterior(likelihood, model.shares_of(group))
    return RatePosterior(CLASS_RATES, weights, scale, seen.days)
