"""Whichever comes first: meters and the calendar joined into one distribution."""

import numpy as np
from numpy.typing import ArrayLike

from scheduling.core.usage import Floats, floats


def first_of(chances: ArrayLike, days: ArrayLike, calendar_day: ArrayLike) -> Floats:
    """Return the chance that the first of several sides of a service is due by each day.

    P(first ≤ d) = 1 − Π_s (1 − F_s(d)), the meters taken as independent given the days; a
    calendar side is certain: 0 before its date, 1 from it on.

    Args:
        chances: F_s(d) of each meter side, shape (sides, n, days), or (n, days) for one side.
        days: whole days after the origin of the columns, shape (days,).
        calendar_day: days after the origin on which the calendar side falls due; NaN or
            infinity for none; shape (n,).

    Returns:
        Chances, shape (n, days).

    """
    # two meters of one machine go together, so this is on the early side: the product of chances to
    # be still open is then below the true one
    sides = np.asarray(chances, dtype=np.float64)
    open_still = 1.0 - sides if sides.ndim == 2 else np.prod(1.0 - sides, axis=0)
    calendar = np.nan_to_num(floats(calendar_day), nan=np.inf)
    reached = np.asarray(days, dtype=np.float64)[None, :] >= calendar[:, None]
    return np.where(reached, 1.0, 1.0 - open_still)


def first_of_days(meter_days: Floats, calendar_day: ArrayLike) -> Floats:
    """Return the quantile days of the first of one meter side and a calendar date.

    The calendar side is certain, so each quantile is the earlier of the two; what is past the
    date already is due today (0).

    Args:
        meter_days: quantile days of the meter side, shape (n, quantiles).
        calendar_day: days after the origin of the calendar's date; NaN or infinity for none;
            shape (n,).

    """
    # the minimum with a certain day moves quantiles as it moves days, so no chance is needed here
    calendar = np.nan_to_num(floats(calendar_day), nan=np.inf)
    return np.maximum(np.minimum(meter_days, calendar[:, None]), 0.0)


def days_of_chance(chances: Floats, days: ArrayLike, quantiles: ArrayLike) -> Floats:
    """Return the first of the given days by which each chance is reached.

    Args:
        chances: never falling along the days, shape (n, days).
        days: days after the origin of the columns, growing, shape (days,).
        quantiles: chances asked for, shape (q,).

    Returns:
        Days after the origin, shape (n, q); infinity where the last column stays below.

    """
    wanted = floats(quantiles)
    reached = chances[:, :, None] >= wanted[None, None, :]
    # argmax gives the first True, and 0 where there is none: any() tells the two apart
    at = np.argmax(reached, axis=1)
    return np.where(reached.any(axis=1), np.asarray(days, dtype=np.float64)[at], np.inf)
