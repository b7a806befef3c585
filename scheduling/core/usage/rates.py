"""What is believed of each machine's rate of use: machine within group within fleet."""

from dataclasses import dataclass

import numpy as np

from scheduling.core.usage.bursts import BurstModel, add_up, fit_bursts, squared_deviations
from scheduling.core.usage.flat_arrays import Flags, Floats, Ints
from scheduling.core.usage.law import LUMP_POWER, UseLaw
from scheduling.core.usage.memory import Memory, Remembered, remembered
from scheduling.core.usage.rate_classes import (
    LEAST_DAYS,
    class_likelihood,
    class_rates,
    fleet_shares,
    group_shares,
    off_the_classes,
    posterior,
    shares_between,
)
from scheduling.core.usage.use_between_readings import UseIntervals

KNOWN_DAYS = 5.0
"""Remembered days from which a machine counts for its group's mean rate, a choice: below, one busy
or idle day would make its rate."""

GROUP_SHRINK = 5.0
"""Machines' worth of the fleet's mean rate mixed into each group's. A choice: half or twice as much
changes the loss of `forecast_benchmark` by 0.1 %."""

USUAL_SHRINK = 3.0
"""Machines' worth of the owner's own estimate mixed into the fleet's mean rate; a choice, so that
the first handful of machines that are read outweighs it."""


@dataclass(frozen=True)
class RateModel:
    """What a fleet teaches about rates.

    Attributes:
        group_rate: m, mean rate of each group in units per day, shape (groups,).
        fleet_rate: mean rate of the fleet, units per day; it serves a group never seen.
        group_shares: class shares of each group, shape (groups, classes).
        fleet_shares: class shares of the fleet, shape (classes,).
        bursts: what the fleet teaches about bursts.
        law: how use varies.

    """

    group_rate: Floats
    fleet_rate: float
    group_shares: Floats
    fleet_shares: Floats
    bursts: BurstModel
    law: UseLaw

    @property
    def rates(self) -> Floats:
        """λ_g of the classes, in units of the group's mean rate, shape (classes,)."""
        return class_rates(self.law.lump)

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
    """The chance of each rate class for each machine, for the use to come.

    Attributes:
        rates: λ_g in units of the machine's scale, shape (classes,).
        weights: p_g, adding up to 1 for each machine, shape (m, classes).
        scale: m of the machine's group, moved by less than a step of the classes so that one of
            them is the machine's bare rate; units per day, shape (m,).
        lump: φ f of the machine, in days at the scale's rate, shape (m,).
        days: remembered days behind the belief, shape (m,); under half a day the belief is the
            group's own.

    """

    rates: Floats
    weights: Floats
    scale: Floats
    lump: Floats
    days: Floats

    def or_else(self, other: "RatePosterior", own: Flags) -> "RatePosterior":
        """Return this belief for the flagged machines and another of the same classes elsewhere.

        Args:
            other: the belief about the same m machines, scale and classes counted alike.
            own: the machines for which this belief stands, shape (m,).

        """
        return RatePosterior(
            self.rates,
            np.where(own[:, None], self.weights, other.weights),
            np.where(own, self.scale, other.scale),
            np.where(own, self.lump, other.lump),
            np.where(own, self.days, other.days),
        )

    @property
    def mean_rate(self) -> Floats:
        """Expected use per effective day, units per day, shape (m,)."""
        return self.scale * (self.weights @ self.rates)


def fit_rates(
    intervals: UseIntervals,
    group: Ints,
    origin: float,
    law: UseLaw,
    usual_rate: float | None = None,
) -> RateModel:
    """Learn mean rates, bursts and class shares of a fleet and its groups.

    Laird's mixture (doi:10.1080/01621459.1978.10480103) in units of the group's mean rate.

    Args:
        intervals: known use of m machines.
        group: index of each machine's group, shape (m,).
        origin: the day from which ages are counted, days since 1970-01-01.
        law: how use varies.
        usual_rate: what the owner expects of a machine, units per day; None if not stated.

    """
    seen = remembered(intervals, origin, law.memory)
    group_rate, fleet_rate = _mean_rates(seen, group, usual_rate)
    # in units of its group's mean a cherry picker and a generator may share classes of rate
    scale = group_rate[group]
    # the lump is needed for the shares, and the bursts need rates: so bursts go by the bare rates
    z = squared_deviations(intervals, scale, _own_rate(seen, scale))
    bursts, deviations = fit_bursts(z, intervals, group)
    lump = law.lump * bursts.factor(deviations, group)
    in_days = Remembered(seen.use / scale, seen.days)
    likelihood = class_likelihood(class_rates(law.lump), in_days, lump)
    fleet = fleet_shares(likelihood)
    shares = group_shares(likelihood, group, group_rate.size, fleet)
    return RateModel(group_rate, fleet_rate, shares, fleet, bursts, law)


def estimate_rates(
    model: RateModel, intervals: UseIntervals, group: Ints, origin: float
) -> RatePosterior:
    """Return what is believed of machines of a fleet already learnt, shape (m, classes).

    Bayes' rule with the shares of the group as prior, doi:10.1080/01621459.1978.10480103.

    Args:
        model: what the fleet taught.
        intervals: known use of the m machines asked about.
        group: their groups, shape (m,).
        origin: the day from which ages are counted, days since 1970-01-01.

    """
    seen = remembered(intervals, origin, model.law.memory)
    scale, rates, law = model.scale_of(group), model.rates, model.law
    own = _own_rate(seen, scale)
    z = squared_deviations(intervals, scale, own)
    factor = model.bursts.factor(add_up(z, intervals, model.bursts.cap), group)
    # classes of the machine's own, one of them at its bare rate: of a steady machine the belief is
    # narrower than a step, and would else stand wherever the nearest class happens to be
    off = off_the_classes(rates, own)
    stretch = (rates[1] / rates[0]) ** off
    scale, lump = scale * stretch, law.lump * factor * stretch ** (LUMP_POWER - 1)
    prior = shares_between(model.shares_of(group), off)
    in_days = Remembered(seen.use / scale, seen.days)
    now = posterior(class_likelihood(rates, in_days, lump), prior)
    # what was learnt is of the past; with chance ε the work to come is another's of the group
    to_come = (1 - law.change) * now + law.change * prior
    return RatePosterior(rates, to_come, scale, lump, seen.days)


def observed_lump(intervals: UseIntervals, group: Ints, origin: float) -> tuple[float, float]:
    """Return the lump that the intervals themselves show, in days, and the intervals behind it.

    The mean squared deviation from each machine's own rate (`bursts`), for which each machine's
    rate takes one interval. It is 0 of 0 where no machine has two intervals.

    Args:
        intervals: known use of m machines.
        group: index of each machine's group, shape (m,).
        origin: the day from which ages are counted, days since 1970-01-01.

    """
    seen = remembered(intervals, origin, Memory())
    group_rate, _ = _mean_rates(seen, group, None)
    scale = group_rate[group]
    z = squared_deviations(intervals, scale, _own_rate(seen, scale))
    _, found = fit_bursts(z, intervals, group)
    # as measured, the capped ones included, in which a few long bursts count as no more than that
    free = np.maximum(found.count - 1, 0.0)
    worth = float(free.sum())
    return (float(found.total[free > 0].sum()) / worth if worth > 0 else 0.0), worth


def _mean_rates(seen: Remembered, group: Ints, usual: float | None) -> tuple[Floats, float]:
    """Return the mean rates of groups (drawn to the fleet's) and of the fleet, units per day."""
    n_groups = int(group.max(initial=0)) + 1
    # machines count alike, not by their days: the prior is about a machine drawn from the group
    known = seen.days > KNOWN_DAYS
    rate = seen.use[known] / seen.days[known]
    worth = USUAL_SHRINK if usual is not None else 0.0
    total = rate.sum() + worth * (usual or 0.0)
    fleet = float(total / (rate.size + worth)) if total > 0 else _bare_rate(seen)
    added = np.bincount(group[known], rate, n_groups) + GROUP_SHRINK * fleet
    return added / (np.bincount(group[known], minlength=n_groups) + GROUP_SHRINK), fleet


def _bare_rate(seen: Remembered) -> float:
    """Return use per day of all machines together, or 1 unit a day where nothing ever ran."""
    use, days = seen.use.sum(), seen.days.sum()
    return float(use / days) if use > 0 and days > 0 else 1.0


def _own_rate(seen: Remembered, scale: Floats) -> Floats:
    """Return each machine's bare rate in units of its scale; 1 where nothing is remembered."""
    known = seen.days > LEAST_DAYS
    return np.where(known, seen.use / np.where(known, seen.days * scale, 1.0), 1.0)
