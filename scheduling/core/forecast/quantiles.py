"""The first day on which a chance is reached, for many services at once.

A few fixed days serve all quantiles and bracket each; inside its bracket the day is guessed from
the line through the bracket's ends on normal-score paper against the logarithm of time, where
passage times lie nearly straight; the neighbour of a right guess proves it, halving mends a wrong
one. Every answer is exact: F(d) ≥ q and F(d − 1) < q were both computed.
"""

from collections.abc import Sequence
from typing import Protocol

import numpy as np
from scipy.special import ndtri

from scheduling.core.usage import Floats, Ints

LANDMARKS = (0, 3, 8, 18, 35, 65)
"""Days after the origin at which every chance is computed, beside the horizon. The answers do not
depend on them, only the time taken; wider apart later on, as passage times are."""


class CumulativeChance(Protocol):
    """The chance of n services by given days."""

    def __len__(self) -> int:
        """Return the number of services."""

    def __call__(self, day: Ints) -> Floats:
        """Return the chance of each service by its day, never falling in the day; shape (n,)."""

    def some(self, rows: Ints) -> "CumulativeChance":
        """Return the chances of some services alone; rows: indices of shape (k,)."""


def first_days(ask: CumulativeChance, quantiles: Sequence[float], horizon: int) -> Floats:
    """Return the first day d in 0..horizon with F(d) ≥ q for each service and quantile.

    Args:
        ask: F of n services.
        quantiles: chances asked for, 0 to 1.
        horizon: last day looked at, in days after the origin.

    Returns:
        Days after the origin, shape (n, quantiles); infinity beyond the horizon.

    """
    marks = np.array([*(d for d in LANDMARKS if d < horizon), horizon], dtype=np.int64)
    n = len(ask)
    chances = np.stack([ask(np.full(n, day, dtype=np.int64)) for day in marks], axis=1)
    # one flat list of service and quantile: a few services then cost few calls
    rows, wanted = np.repeat(np.arange(n), len(quantiles)), np.tile(quantiles, n)
    days = _narrowed(ask, rows, wanted, marks, chances[rows])
    return days.reshape(n, len(quantiles))


def _narrowed(
    ask: CumulativeChance, asked: Ints, wanted: Floats, marks: Ints, chances: Floats
) -> Floats:
    """Narrow brackets to a day, one for each service asked about and its chance; shape (p,)."""
    # chances never fall along the marks, so the count below is the place of the bracket
    above = (chances < wanted[:, None]).sum(axis=1)
    within = (above > 0) & (above < marks.size)
    result = np.where(above == 0, 0.0, np.inf)
    rows = np.flatnonzero(within)
    low, high = marks[above[rows] - 1], marks[above[rows]]
    ends = chances[rows, above[rows] - 1], chances[rows, above[rows]]
    guess = _guess(low, high, *ends, wanted[rows])
    while rows.size:
        done = high - low <= 1
        result[rows[done]] = high[done]
        rows, low, high, guess = rows[~done], low[~done], high[~done], guess[~done]
        if rows.size:
            reached = ask.some(asked[rows])(guess) >= wanted[rows]
            high, low = np.where(reached, guess, high), np.where(reached, low, guess)
            guess = _next_guess(low, high, guess)
    return result


def _guess(low: Ints, high: Ints, under: Floats, over: Floats, wanted: Floats) -> Ints:
    """Return the day where the line through the bracket's ends meets the chance wanted."""
    # clipped, since a chance of exactly 0 or 1 has no finite score; only the guess gets worse
    score = ndtri(np.clip(np.stack([under, over]), 1e-9, 1 - 1e-9))
    part = (ndtri(wanted) - score[0]) / np.maximum(score[1] - score[0], 1e-9)
    span = np.log((high + 1.0) / (low + 1.0))
    day = np.ceil((low + 1.0) * np.exp(span * part) - 1.0).astype(np.int64)
    return np.clip(day, low + 1, np.maximum(high - 1, low + 1))


def _next_guess(low: Ints, high: Ints, guess: Ints) -> Ints:
    """Step to the neighbour of a guess that is still an end of its bracket, else halve.

    The guess is an end at once; stepping doubles the distance, so a poor guess costs no more
    than a search by halving.
    """
    width = high - low
    step = np.maximum(1, width // 8)
    near = np.where(guess == high, high - step, low + step)
    return np.clip(
        np.where(width > 2, near, (low + high) // 2), low + 1, np.maximum(high - 1, low + 1)
    )
