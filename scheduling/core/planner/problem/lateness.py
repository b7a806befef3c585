"""Expected days late and early of work done on a given day, when the due date is a forecast.

The due date D is uniform on four pieces with mass 0.1, 0.4, 0.4, 0.1 between the knots
``p10 - (p50 - p10)/4, p10, p50, p90, p90 + (p90 - p50)/4``.  The integral of its distribution
function up to d is E[max(0, d - D)], piecewise quadratic in d, and
E[max(0, D - d)] = E[D] - d + E[max(0, d - D)].
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .entities import Due

Days = NDArray[np.float64]

HEIGHTS = (0.0, 0.1, 0.5, 0.9, 1.0)
"""Distribution function at the five knots (fractions)."""

# A tenth of the chance lies in each tail: with uniform pieces the mass on one side of p10 over that
# on the other is 1 to 4, so a quarter of the length has the same density.
TAIL = 0.25
"""How far the end pieces reach beyond p10 and p90, as a fraction of the distance to p50."""


def knots(dues: list[Due]) -> Days:
    """Return the knots of n due dates in days, shape (n, 5)."""
    p10, p50, p90 = np.array([(d.p10, d.p50, d.p90) for d in dues]).reshape(-1, 3).T
    early, late = p10 - TAIL * (p50 - p10), p90 + TAIL * (p90 - p50)
    return np.stack([early, p10, p50, p90, late], axis=1)


def expected_late(edges: Days, days: ArrayLike) -> Days:
    """Return E[max(0, day - D)] in days, shape (n, len(days))."""
    when = np.asarray(days, dtype=float)[None, :]
    area = np.maximum(0.0, when - edges[:, 4:])
    for piece in range(4):
        start, width = edges[:, piece, None], edges[:, piece + 1, None] - edges[:, piece, None]
        reach = np.clip(when - start, 0.0, width)
        rise = HEIGHTS[piece + 1] - HEIGHTS[piece]
        # Two equal points make a piece without width, a jump: its area is 0 whatever the slope.
        slope = rise / np.where(width > 0.0, width, 1.0)
        area = area + reach * (HEIGHTS[piece] + slope * reach / 2.0)
    return area


def expected_early(edges: Days, days: ArrayLike) -> Days:
    """Return E[max(0, D - day)] in days, shape (n, len(days))."""
    masses = np.diff(HEIGHTS)
    mean = ((edges[:, 1:] + edges[:, :-1]) / 2.0) @ masses
    gap = mean[:, None] - np.asarray(days, dtype=float)[None, :]
    # By the identity above; the 0 takes away rounding below it.
    return np.maximum(0.0, gap + expected_late(edges, days))
