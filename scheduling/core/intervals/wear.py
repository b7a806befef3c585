"""Services triggered by measured wear: when the trend meets its limit.

Trend: the least-squares line  value = a + b life  through what was measured since the part was
new, lining thickness or chain length, say; it meets the limit at  life = (limit - a) / b.
Source: ordinary least squares; a straight wear line between run-in and wear-out is common practice.
"""

from dataclasses import dataclass

import numpy as np

from scheduling.core.intervals.line_arrays import Bools, Floats, Ints

FARTHEST = 20.0
"""Times the life over which it was measured that a trend is followed: what hardly moves on a
machine whose meter hardly moved would promise its end in a thousand years (our judgement)."""


@dataclass(frozen=True)
class Measurements:
    """Measured values, flat arrays (m,) in order of time within a line.

    line: index of the line; life: the machine's life when measured; value: in any one unit a line.
    """

    line: Ints
    life: Floats
    value: Floats


@dataclass(frozen=True)
class WearLimit:
    """Where wear ends, arrays (n,). limit: in the unit measured; NaN where there is none.

    rising: True where the value grows towards the limit (a stretched chain), False where it falls
    (a worn lining).
    """

    limit: Floats
    rising: Bools


def limit_reached(measured: Measurements, wear: WearLimit) -> Bools:
    """Return where the last value measured is at or past its limit, due at once; shape (n,)."""
    last = np.full(len(wear.limit), np.nan)
    # of several values for one line numpy keeps the last, and they come in order of time
    last[measured.line] = measured.value
    return np.where(wear.rising, last >= wear.limit, last <= wear.limit)


def limit_life(measured: Measurements, wear: WearLimit) -> Floats:
    """Return the life at which the trend meets the limit, in the meter's unit, shape (n,).

    NaN with fewer than two lives measured, where the trend does not lead to the limit, or only
    beyond FARTHEST times the life measured. It may lie in the past. Give the result to
    ``DuePoints.by_life``.
    """
    n = len(wear.limit)
    count = np.maximum(np.bincount(measured.line, minlength=n), 1)
    mean_life = np.bincount(measured.line, measured.life, n) / count
    mean_value = np.bincount(measured.line, measured.value, n) / count
    # around the means: lives run to tens of thousands, and their squares would drown the slope
    apart = measured.life - mean_life[measured.line]
    spread = np.bincount(measured.line, apart**2, n)
    slope = np.bincount(measured.line, apart * measured.value, n)
    slope = np.divide(slope, spread, out=np.zeros(n), where=spread > 0)
    # a trend away from the limit is a measuring error or a new part; it promises nothing
    towards = np.where(wear.rising, slope > 0, slope < 0)
    left = np.divide(wear.limit - mean_value, slope, out=np.full(n, np.nan), where=towards)
    first, last = np.full(n, np.inf), np.full(n, -np.inf)
    np.minimum.at(first, measured.line, measured.life)
    np.maximum.at(last, measured.line, measured.life)
    return np.where(left <= FARTHEST * (last - first), mean_life + left, np.nan)
