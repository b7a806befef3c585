"""Chances to ask for, so that ranges cover the truth as often as they say.

A range is calibrated if one truth in ten lies before it and one in ten behind it (T. Gneiting,
F. Balabdaoui and A. E. Raftery, Probabilistic forecasts, calibration and sharpness, JRSS B 69,
2007, 243-268, doi:10.1111/j.1467-9868.2007.00587.x). Say that forecasts asked for chance a, and the
share s of the truths lay before the day that was named. The shift δ of the log-odds,

    logit P(truth before the day) = logit a + δ,

(the intercept of D. R. Cox, Two further applications of a model for binary regression,
Biometrika 45, 1958, 562-565, doi:10.1093/biomet/45.3-4.562) is estimated from what was really said,
each forecast with the chance that it was asked for, under a normal prior around 0. Next time the
chance asked for is that with logit a* = logit(target) − δ, within bounds.

δ is measured against the model's own chances, not against the target: a model that stays the same
keeps its δ whatever was asked before, so nothing winds up, and a model that mends itself brings δ
back to 0. (Sources from memory.)
"""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq
from scipy.special import expit, logit

from scheduling.core.usage import Floats, Ints

NOMINAL = (0.1, 0.9)
"""Shares of the truths that are to lie before a range, and before its end."""

FARTHEST = 6.0
"""Largest shift of the log-odds that is looked for."""


@dataclass(frozen=True)
class RecalibrationLimits:
    """How far outcomes may move the chances.

    Attributes:
        least: outcomes' worth (after the design effect) below which nothing moves.
        prior: standard deviation of the shift that is thought usual, in log-odds: 0.35 is a tail
            of 10 % that turns out as 7 or as 14. All four numbers are choices, not fitted.
        reach: most that a chance may move to either side of its target.
        step: chances are kept as multiples of this, so that they do not move every night.

    """

    least: float = 30.0
    prior: float = 0.35
    reach: float = 0.05
    step: float = 0.01

    def __post_init__(self) -> None:
        for name in ("least", "prior", "reach", "step"):
            value = getattr(self, name)
            if not (np.isfinite(value) and value > 0):
                raise ValueError(f"The rule {name} of adjusting is {value}; it must be above 0.")
        if self.reach >= min(NOMINAL[0], 1 - NOMINAL[1]):
            raise ValueError(f"A reach of {self.reach} would let a range end at no chance at all.")


@dataclass(frozen=True)
class Tail:
    """Outcomes of one end of ranges; arrays of shape (n,).

    Attributes:
        asked: the chance that the day was asked for, in (0, 1).
        day: the day that was named.
        truth: the day that came true.
        machine: which machine each belongs to, any whole number.

    """

    asked: Floats
    day: Floats
    truth: Floats
    machine: Ints

    @property
    def before(self) -> Floats:
        """Return 1 where the truth lay before the day, 1/2 where on it, 0 where behind it.

        Days are whole, and the chance asked for is reached somewhere within the day named: half of
        that day's truths lie on either side (the mid-distribution of C. Czado, T. Gneiting and
        L. Held, Biometrics 65, 2009, 1254-1261, doi:10.1111/j.1541-0420.2009.01191.x, from memory).
        """
        return np.where(self.truth < self.day, 1.0, np.where(self.truth == self.day, 0.5, 0.0))


def design_effect(off: Floats, machine: Ints) -> float:
    """Return how many outcomes are worth one, since those of one machine go together.

    deff = Σ_machines (Σ off)² / Σ off², never below 1, with C/(C − 1) for C machines: the variance
    of a mean of clusters over that of as many single draws (L. Kish, Survey Sampling, 1965,
    chapter 5, from memory). Where all outcomes are alike nothing can be told of it, and a machine's
    count as one.

    Args:
        off: outcomes less their mean, shape (n,).
        machine: which machine each belongs to, shape (n,).

    """
    _, which = np.unique(machine, return_inverse=True)
    groups = int(which.max(initial=-1)) + 1
    own = float((off**2).sum())
    if groups < 2 or own == 0:
        return max(1.0, off.size / max(groups, 1))
    together = float((np.bincount(which, off) ** 2).sum())
    return max(1.0, together / own * groups / (groups - 1))


def recalibrated_level(
    tail: Tail, target: float, rules: RecalibrationLimits | None = None
) -> float:
    """Return the chance to ask for, so that the share `target` of truths lies before the day.

    Cox's intercept of the calibration, doi:10.1093/biomet/45.3-4.562, under a normal prior.

    Args:
        tail: what was asked for, and what came true.
        target: one of `NOMINAL`.
        rules: how far it may move.

    Raises:
        ValueError: a chance outside (0, 1).

    """
    rules = rules or RecalibrationLimits()
    wrong = np.flatnonzero(~((tail.asked > 0) & (tail.asked < 1)))
    if wrong.size:
        raise ValueError(f"A forecast was asked for chance {tail.asked[wrong[0]]}, not in 0 to 1.")
    before = tail.before
    if not before.size:
        return target
    worth = 1.0 / design_effect(before - before.mean(), tail.machine)
    if before.size * worth < rules.least:
        return target
    asked = logit(tail.asked)

    def slope(shift: float) -> float:
        return float((before - expit(asked + shift)).sum() * worth - shift / rules.prior**2)

    # it falls all the way, so there is one root; thousands of machines that all err to one side
    # push it past an end, where the level has long met its bound
    if slope(FARTHEST) >= 0 or slope(-FARTHEST) <= 0:
        shift = FARTHEST if slope(FARTHEST) >= 0 else -FARTHEST
    else:
        shift = brentq(slope, -FARTHEST, FARTHEST)
    level = float(expit(logit(target) - shift))
    # bounded, since one odd year must not turn a range of 8 in 10 into one of another kind
    bounded = float(np.clip(level, target - rules.reach, target + rules.reach))
    return round(round(bounded / rules.step) * rules.step, 6)
