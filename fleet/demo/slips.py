"""Slips of people who type readings: digits swapped, the point left out, a figure too few.

The site's own validation judges them: what it would question is kept to be mended, what looks
plausible gets in.
"""

import numpy as np

from fleet.demo.simulated_meters import STEP


def _swap_digits(figures: str, n: int) -> str:
    return figures[:n] + figures[n + 1] + figures[n] + figures[n + 2 :]


def mistype(rng: np.random.Generator, value: float, kind: str) -> float:
    """A value as tired fingers type it; in the units of the meter."""
    counts = round(value / STEP[kind])
    figures = str(counts)
    way = int(rng.integers(0, 4))
    if way == 0 and len(figures) > 1:
        figures = _swap_digits(figures, int(rng.integers(0, len(figures) - 1)))
    elif way == 1:
        figures += "0"  # the point left out
    elif way == 2 and len(figures) > 1:
        n = int(rng.integers(1, len(figures)))
        figures = figures[:n] + figures[n + 1 :]
    else:
        figures = str(max(0, counts + int(rng.choice([-30, 12, -12, 30]))))
    return round(int(figures) * STEP[kind], 4)
