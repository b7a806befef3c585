"""Forecasts beside what came true: inside the range or not, days off, and the simple average.

Days are whole days after the day of the forecast, clipped to 0..120 on both sides: clipping is
monotone, so it never changes which of two days is the later.
"""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np

from scheduling.core.forecast import HORIZON
from scheduling.core.usage import Flags, Floats, Ints


class RangePosition(IntEnum):
    """Where the truth fell."""

    EARLIER = -1  # before the range
    INSIDE = 0
    LATER = 1  # after the range


@dataclass(frozen=True)
class RangeForecasts:
    """What was said of n due points: days of the low, middle and high quantile, shape (n,).

    120 or more, and infinity, stand for beyond the horizon.
    """

    low: Floats
    middle: Floats
    high: Floats


def range_position(said: RangeForecasts, truth: Floats) -> Ints:
    """Return the `RangePosition` of each truth, shape (n,).

    The share INSIDE is the coverage of the ranges (doi:10.1111/j.1467-9868.2007.00587.x).

    The first and the last day of a range belong to it, since people are told both.

    Args:
        said: days named for n due points.
        truth: days that came true, shape (n,).

    """
    # ends past the horizon count as its end: beyond 120 days is one answer, whatever the day
    late = truth > np.minimum(said.high, HORIZON)
    early = truth < np.minimum(said.low, HORIZON)
    where = np.where(early, RangePosition.EARLIER, RangePosition.INSIDE)
    return np.where(late, RangePosition.LATER, where).astype(np.int64)


def two_ended(said: RangeForecasts) -> Flags:
    """Tell which ranges lie wholly inside 0..120 and can be missed on either side, shape (n,).

    A range that begins today or ends beyond the horizon covers too easily to be judged by.
    """
    return (said.low > 0) & (said.high < HORIZON)


def days_off(middle: Floats, truth: Floats) -> Floats:
    """Return by how many days a single date missed, both clipped to the horizon, shape (n,)."""
    return np.abs(np.minimum(middle, HORIZON) - np.minimum(truth, HORIZON))


def simple_factors(simple: Floats, truth: Floats) -> tuple[float, float]:
    """Return the factors on the simple average between which 8 in 10 truths lie.

    They are the 0.1 and 0.9 quantiles of truth over simple date, taken on the very outcomes that
    they are then judged by, which favours the simple average. One day at least stands below.

    Args:
        simple: days of the simple average, shape (n,), n ≥ 1.
        truth: days that came true, shape (n,).

    """
    low, high = np.quantile(truth / np.maximum(simple, 1.0), [0.1, 0.9])
    return float(low), float(high)
