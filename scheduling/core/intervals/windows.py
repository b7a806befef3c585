"""How far before and after its due point a service still counts as on time.

Source: US Army TM 1-1500-328-23 para 2-10 (10 percent, at most 5 h or 30 days; part days are cut
off) and PS Magazine 580 (March 2001) pp. 52-55 (a quarter counts as 90 days, half a year as 180,
a year as 360).
"""

import numpy as np
from numpy.typing import ArrayLike

from scheduling.core.intervals.line_arrays import Floats, Ints

NOMINAL_MONTH = 30
"""Days in a month when a percentage of an interval is taken; due dates use real months."""

_CUT = 1e-9
"""Days added before part days are cut off: 0.29 * 100 percent of 100 days is 29 days, though a
computer makes it 28.999999999999996."""


def allowance(
    every: ArrayLike,
    absolute: ArrayLike = np.nan,
    percent: ArrayLike = np.nan,
    cap: ArrayLike = np.nan,
) -> Floats:
    """Return the allowance on a meter, in the meter's unit, shape (n,).

    every, absolute and cap are in the meter's unit, percent in percent (10 means a tenth of
    ``every``); NaN means not given. With several given the smallest holds; with neither absolute
    nor percent the allowance is 0. A negative figure raises ValueError.

    Example: ``allowance(75, percent=10, cap=5)`` is 5 h (TM 1-1500-328-23).
    """
    share = np.asarray(every, dtype=np.float64) * np.asarray(percent, dtype=np.float64) / 100.0
    # fmin takes the number where the other is NaN, which is how "not given" drops out
    given = np.fmin(share, np.asarray(absolute, dtype=np.float64))
    limit = np.where(np.isnan(given), 0.0, np.fmin(given, np.asarray(cap, dtype=np.float64)))
    if (limit < 0).any():
        raise ValueError(f"a window of {limit.min():g} is not possible; give 0 or more")
    return np.atleast_1d(limit)


def allowance_days(
    nominal_days: ArrayLike,
    absolute: ArrayLike = np.nan,
    percent: ArrayLike = np.nan,
    cap: ArrayLike = np.nan,
) -> Ints:
    """Return the allowance on the calendar in whole days, shape (n,); part days are cut off.

    Arguments as in ``allowance``, in days; ``nominal_days`` is what ``nominal_length`` gives.
    Example: 10 percent of 14 days is 1 day (TM 1-1500-328-23 para 2-10).
    """
    exact = allowance(nominal_days, absolute, percent, cap)
    return np.floor(exact + _CUT).astype(np.int64)


def nominal_length(months: ArrayLike, days: ArrayLike) -> Ints:
    """Return the length in days of which a percentage is taken, 30 days a month; shape (n,).

    months and days are those of the interval, 0 where it has none.
    """
    return np.asarray(months, dtype=np.int64) * NOMINAL_MONTH + np.asarray(days, dtype=np.int64)
