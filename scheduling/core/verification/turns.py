"""When the forecast of a service is kept: once in each machine's own fortnight."""

from typing import TypeVar

import numpy as np

from scheduling.core.usage.arrays import Ints

Whole = TypeVar("Whole", int, Ints)

TURN = 14
"""Days of a turn: forecasts a fortnight apart tell more than those of two nights in a row."""


def turn_of(day: int, key: Whole) -> Whole:
    """Return the number of a machine's turn on a day: ⌊(day + key) / 14⌋.

    A night keeps the forecast of a service if none was kept in the same turn, so a night that was
    missed is made good by the next one. Turns begin on a day of the machine's own, which spreads
    the work over the fortnight.

    Args:
        day: days since 1970-01-01.
        key: number of the machine, never changing; one or many, shape (n,).

    """
    return np.floor_divide(day + key, TURN)
