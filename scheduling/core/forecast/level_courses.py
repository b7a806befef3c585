"""Courses that the common level of a group of machines may take, given what it did so far.

In its first thirteen months a fleet cannot know its year. The logarithm of its level is taken as

    ln L(t) = c + Σ_j (A_j cos jωt + B_j sin jωt) + d t + W(t),    ω = 2π a year,

with A_j and B_j normal of deviation a/j, d normal and W a random walk of deviation w in a month: a
season of harmonics, a slope and a wandering level, as in structural time series (A. C. Harvey,
Forecasting, Structural Time Series Models and the Kalman Filter, 1989, section 2.3, from memory).
For a given a, w, slope and number of harmonics (a `Nature`) all is normal, so what was seen has a
chance, and what will be seen a mean and a covariance (C. E. Rasmussen and C. K. I. Williams,
Gaussian Processes for Machine Learning, 2006, equations 2.25, 2.26 and 2.30). Natures are weighed
by the chance that they gave to what was seen, and by how common each is: all alike, and where a
fleet has several groups by what these say together, by EM (N. Laird, JASA 73, 1978, 805-811,
doi:10.1080/01621459.1978.10480103). So a fleet that went down since autumn expects that it may go
up again, and one that ran evenly for a year expects no season.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from scheduling.core.usage import CommonLevels, Floats, floats

STRENGTHS = (0.0, 0.15, 0.3, 0.6, 1.2)
"""a: from no season to one whose best month often brings twenty times its worst (common practice:
mowers and hay tools stand all winter). A ladder of choices, not fitted to any fleet."""

HARMONICS = (1, 4)
"""One wave a year, or a course with a narrow busy time. Choices, looked at on the ranch of
`odd_fleets` before its first summer and on invented fleets with a winter season, a short haying, a
mild season, growth and any first month; two harmonics alone told all of them worse."""

SLOPES = (0.0, 0.5)
"""Deviation of d in a year: a fleet that keeps its work, or one that grows or shrinks by half."""

STEPS = (0.0, 0.03, 0.1, 0.3)
"""w: from a level that does not move to one that may double or halve in half a year. Choices, seen
on the same fleets. With the seasons they make the loss of `forecast_benchmark` 0.4 % larger: in
its year the levels of its groups came back to their mean sooner."""

UNSURE_LEVEL = 10.0
"""Deviation of c: nothing is known of it."""

COMMON_WORTH = 1.0
"""Groups' worth of all natures alike in what the groups of a fleet say together; a choice."""

ROUNDS = 30
"""Rounds of EM."""

DRAWS = 400
"""Courses drawn: the mean level is then known to a twentieth of its spread."""

MOST = 3.0
"""Most that a level may lie from the mean of those seen, as a logarithm: twenty times."""

YEAR, MONTH = 365.25, 30.0
"""Days."""

JITTER = 1e-6
"""Added to variances of ln L, so that a matrix that is all but singular has a root."""


@dataclass(frozen=True)
class Nature:
    """How a level may move; deviations of its logarithm.

    strength: of the season's first harmonic; harmonics: how many; slope: in a year; step: in a
    month.
    """

    strength: float
    harmonics: int
    slope: float
    step: float

    def covariance(self, days: Floats) -> Floats:
        """Return the covariance of ln L between days, of shape (k,); shape (k, k)."""
        turn = 2 * np.pi * (days[:, None] - days[None, :]) / YEAR
        season = np.zeros_like(turn)
        for j in range(1, self.harmonics + 1):
            season += np.cos(j * turn) / j**2
        since = (days - days.min()) / MONTH
        walk = np.minimum(since[:, None], since[None, :])
        years = days / YEAR
        slope = self.slope**2 * years[:, None] * years[None, :]
        return UNSURE_LEVEL**2 + self.strength**2 * season + slope + self.step**2 * walk


NATURES = tuple(
    Nature(a, harmonics, slope, w)
    for a, harmonics, slope, w in product(STRENGTHS, HARMONICS, SLOPES, STEPS)
    # without a season there are no harmonics to choose between
    if a > 0 or harmonics == HARMONICS[0]
)


def even_shares() -> Floats:
    """Return the shares of natures before anything is seen: each strength alike; sums to 1."""
    share = np.array([1.0 if n.strength > 0 else float(len(HARMONICS)) for n in NATURES])
    return share / share.sum()


def nature_shares(groups: Sequence[CommonLevels]) -> Floats:
    """Return how common each nature is among the groups of a fleet, shape (natures,); sums to 1.

    Laird's mixture, doi:10.1080/01621459.1978.10480103.
    """
    start = even_shares()
    if len(groups) < 2:
        return start
    chance = np.array([np.exp(_log_chances(levels)) for levels in groups])
    share = start
    for _ in range(ROUNDS):
        of_group = chance * share
        of_group /= of_group.sum(axis=1, keepdims=True)
        share = (of_group.sum(axis=0) + COMMON_WORTH * start) / (len(groups) + COMMON_WORTH)
    return share


def draw_courses(levels: CommonLevels, asked: Floats, shares: Floats) -> Floats:
    """Draw courses of the level L, by equations 2.25 and 2.26 of Rasmussen and Williams 2006.

    Args:
        levels: what was seen, k blocks.
        asked: days from the origin that are asked for, shape (q,).
        shares: how common each nature is, shape (natures,).

    Returns:
        Levels, beside a mean of 1 so far, shape (DRAWS, q).

    """
    chance = np.exp(_log_chances(levels)) * shares
    # as many draws of each as its chance asks for, so that little is left to luck
    upto = np.cumsum(chance / chance.sum())
    which = np.searchsorted(upto[:-1], (np.arange(DRAWS) + 0.5) / DRAWS)
    normal = np.random.default_rng(0).standard_normal((DRAWS, asked.size))
    drawn = np.empty((DRAWS, asked.size))
    for nature in np.unique(which):
        mean, root = _given(levels, asked, NATURES[nature])
        drawn[which == nature] = mean + normal[which == nature] @ root.T
    middle = float(levels.log_level.mean())
    return np.asarray(np.exp(np.clip(drawn, middle - MOST, middle + MOST)))


def _log_chances(levels: CommonLevels) -> Floats:
    """Return the log of the chance of what was seen by each nature, the largest 0; (natures,)."""
    found = []
    for nature in NATURES:
        root = _root(nature.covariance(levels.at) + np.diag(levels.variance))
        off = np.linalg.solve(root, levels.log_level)
        found.append(-0.5 * float(off @ off) - float(np.log(np.diag(root)).sum()))
    return np.array(found) - max(found)


def _given(levels: CommonLevels, asked: Floats, nature: Nature) -> tuple[Floats, Floats]:
    """Return mean and root of the covariance of ln L at days, given what was seen."""
    k = levels.at.size
    every = nature.covariance(np.concatenate([levels.at, asked]))
    root = _root(every[:k, :k] + np.diag(levels.variance))
    half = np.linalg.solve(root, np.c_[levels.log_level, every[:k, k:]])
    across = half[:, 1:]
    return across.T @ half[:, 0], _root(every[k:, k:] - across.T @ across)


def _root(covariance: Floats) -> Floats:
    return floats(np.linalg.cholesky(covariance + JITTER * np.eye(covariance.shape[0])))
