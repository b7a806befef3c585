"""Hours as whole ticks, so that solvers add them without rounding errors."""

import math
from collections.abc import Iterable

# From whole hours to seconds: a coarse scale keeps the tables of pricing small. The last one is for
# durations such as 1/7 h, which none of the others makes whole.
TICKS_PER_HOUR = (1, 2, 4, 5, 10, 20, 12, 60, 100, 120, 1000, 3600, 10_000)
"""Scales tried in turn; the first that makes every duration whole is taken."""

TOLERANCE = 1e-6
"""Hours by which a sum may miss a limit without breaking it."""


def ticks_per_hour(durations: Iterable[float]) -> int:
    """Return a scale on which all `durations` (hours) are whole, or the finest one."""
    hours = sorted(set(durations))
    for scale in TICKS_PER_HOUR:
        if all(abs(h * scale - round(h * scale)) <= TOLERANCE for h in hours):
            return scale
    return TICKS_PER_HOUR[-1]


def up(hours: float, scale: int) -> int:
    """Return the ticks that work of `hours` needs."""
    # Work is rounded up and room down, so that a plan in ticks is one in hours too.
    return math.ceil(hours * scale - TOLERANCE * scale)


def down(hours: float, scale: int) -> int:
    """Return the ticks that fit into `hours`."""
    return math.floor(hours * scale + TOLERANCE * scale)
