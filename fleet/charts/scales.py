"""From figures to places on a drawing, and round figures for an axis.  Pure."""

import math
from collections.abc import Callable
from datetime import date, timedelta

from fleet.saying import MONTH

Scale = Callable[[float], float]
"""From a figure to its place on the drawing, px."""


def scale(low: float, high: float, start: float, end: float) -> Scale:
    """Return the straight map that takes low to start and high to end."""
    span = (high - low) or 1.0
    return lambda value: start + (value - low) / span * (end - start)


def round_step(span: float, most: int) -> float:
    """Return the smallest of 1, 2, 2.5, 5 times a power of ten with at most so many steps."""
    if span <= 0:
        return 1.0
    rough = span / most
    power = 10.0 ** math.floor(math.log10(rough))
    return next((m * power for m in (1, 2, 2.5, 5) if m * power >= rough * 0.999), 10 * power)


def ticks(low: float, high: float, most: int = 5) -> list[float]:
    """Return round figures from low to high, both within their reach."""
    step = round_step(high - low, most)
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return [n * step for n in range(first, last + 1)]


def ceiling(high: float, most: int = 5) -> float:
    """Return the round figure at or above high at which an axis from 0 ends."""
    step = round_step(high, most)
    return math.ceil(high / step - 1e-9) * step or step


def month_starts(first: date, last: date) -> list[tuple[date, str]]:
    """Return the first days of months within a span, with their short names."""
    found = []
    day = first.replace(day=1)
    while day <= last:
        if day >= first:
            found.append((day, MONTH[day.month - 1]))
        day = (day + timedelta(days=32)).replace(day=1)
    return found
