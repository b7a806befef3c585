"""The one rule that says whether a meter can have moved from one reading to another.

The page where a reading is typed and the cleaning of years of readings ask this same rule.
"""

import numpy as np
from numpy.typing import ArrayLike

from scheduling.core.usage.flat_arrays import Flags, Floats, Ints, previous_in_run

BUSY_QUANTILE = 0.97
"""Share of the fleet's intervals between readings that run no faster than the busy rate."""

BUSY_FACTOR = 2.0
"""How many times the busy rate a meter may run before it is not believed."""

SLACK_DAYS = 0.5
"""Days of use at the ceiling granted on top: the two readings may frame one busy shift."""

DIP_DAYS = 1 / 200
"""Days of use at the ceiling by which a meter may seem to fall back: two people rounding."""

SHORTEST_DAYS = 0.5
"""Readings closer together than this many days say little about a rate."""


def plausible_link(dx: ArrayLike, dt: ArrayLike, ceiling: ArrayLike) -> Flags:
    """Say whether a meter can have moved by `dx` in `dt` days: -c/200 ≤ dx ≤ c·dt + c/2.

    Args:
        dx: later reading less earlier one, in the meter's unit; any shape.
        dt: days between them, same shape.
        ceiling: c, the fastest use believed, units per day (see `use_ceiling`); infinity for
            a meter of which nothing is known but that it does not run backwards.

    Returns:
        True where the step can be believed; False for NaN and infinities.

    """
    step, days, c = np.asarray(dx, float), np.asarray(dt, float), np.asarray(ceiling, float)
    # with no ceiling known the dip is 0, not infinite: such a meter may rise at will, never fall
    bounded = np.isfinite(c)
    dip = np.where(bounded, DIP_DAYS * np.where(bounded, c, 0.0), 0.0)
    most = np.where(bounded, np.where(bounded, c, 0.0) * (days + SLACK_DAYS), np.inf)
    return np.isfinite(step) & (step >= -dip) & (step <= most)


def use_ceiling(machine: Ints, day: Floats, value: Floats, at_most: float = np.inf) -> float:
    """Return the fastest use believed of any machine of a fleet, in units per day.

    c = 2 × the 97 % quantile of the rates between neighbouring readings at least half a day
    apart, backward steps left out.

    Args:
        machine: run of each row; rows sorted by machine and day; shape (n,).
        day: days, shape (n,).
        value: readings, shape (n,); values that are no finite numbers are left out.
        at_most: what no meter of the kind can exceed (24 for an hour meter), units per day.

    Returns:
        The ceiling; `at_most` (perhaps infinite) where nothing is known.

    """
    known = np.isfinite(value)
    run, days, values = machine[known], day[known], value[known]
    before = previous_in_run(run)
    now = np.flatnonzero(before >= 0)
    dt = days[now] - days[now - 1]
    dx = values[now] - values[now - 1]
    # idle spells are left out: the busy rate is that of working meters, whatever their share
    usable = (dt >= SHORTEST_DAYS) & (dx > 0)
    if not usable.any():
        return at_most
    # a quantile below the top: typos are few, and they are just what the top consists of
    busy = np.quantile(dx[usable] / dt[usable], BUSY_QUANTILE)
    return float(min(BUSY_FACTOR * busy, at_most))
