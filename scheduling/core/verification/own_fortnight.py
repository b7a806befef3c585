"""When the forecast of a service is kept: once in each machine's own fortnight."""

from typing import TypeVar

import numpy as np

from scheduling.core.usage import Ints

Whole = TypeVar("Whole", int, Ints)

FORTNIGHT = 14
"""Days from one kept forecast of a service to the next: two that are a fortnight apart tell more
than those of two nights in a row."""


def fortnight_of(day: int, key: Whole) -> Whole:
    """Return the number of a machine's own fortnight on a day: ⌊(day + key) / 14⌋.

    A night keeps the forecast of a service if none was kept in the same fortnight, so a night
    that was missed is made good by the next one. Fortnights begin on a day of the machine's own,
    which spreads the work over all nights.

    Args:
        day: days since 1970-01-01.
        key: number of the machine, never changing; one or many, shape (n,).

    """
    # the key shifts the fortnights of neighbours against each other, without a draw to remember
    return np.floor_divide(day + key, FORTNIGHT)
