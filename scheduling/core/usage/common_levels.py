"""Common levels: how much the machines of a group ran together, half month by half month.

Machine i ran x_ib in n_ib effective days of block b. With v_i its own rate and L_b the level of
all, turn by turn,

    L_b = Σ_i x_ib/v_i / Σ_i n_ib,    v_i = Σ_b x_ib / Σ_b L_b n_ib,

the row and column effects of a table with gaps (Y. M. M. Bishop, S. E. Fienberg and P. W. Holland,
Discrete Multivariate Analysis, 1975, chapter 3, from memory). Use comes in lumps of φ days, so that
the level of N machine days is unsure by a variance of φ L/N; φ is the squared deviation of machines
and blocks from what was expected of them, over what was expected.
"""

from dataclasses import dataclass

import numpy as np

from scheduling.core.usage.flat_arrays import Floats
from scheduling.core.usage.use_between_readings import UseIntervals

BLOCK = 15.0
"""Days taken together: half a month. A choice, so that a week or two between readings does not blur
the steepest season."""

TURNS = 10
"""Turns between levels and rates; levels then move by less than a thousandth."""

TINY = 1e-9
"""Guards a division by nothing."""


@dataclass(frozen=True)
class CommonLevels:
    """Logarithms of the levels of k blocks, mean level 1; arrays of shape (k,).

    Attributes:
        at: the middle of what is known of each block, days from the origin, below 0.
        log_level: ln L.
        variance: of ln L, by chance.

    """

    at: Floats
    log_level: Floats
    variance: Floats


def common_levels(own: UseIntervals, origin: float) -> CommonLevels:
    """Return the common levels of machines up to the origin; blocks without readings are left out.

    Args:
        own: known use of m machines that are taken to go up and down together.
        origin: the day from which blocks are counted back, days since 1970-01-01.

    """
    use, days, middle = _by_block(own, origin)
    ran = use.sum(axis=1) > 0
    use, days = use[ran], days[ran]
    total = days.sum(axis=0)
    level, told = np.ones(total.size), np.zeros_like(use)
    for _ in range(TURNS):
        rate = use.sum(axis=1) / np.maximum(days @ level, TINY)
        told = use / np.maximum(rate, TINY)[:, None]
        level = np.divide(told.sum(axis=0), total, out=np.ones(total.size), where=total > 0)
        level = level / max(float(level @ total / max(total.sum(), TINY)), TINY)
    expected = days * level
    # one number was taken from the cells for each machine and each block
    cells = int((days > 0).sum())
    free = max(cells - sum(days.shape), 1) / max(cells, 1)
    lump = float(((told - expected) ** 2).sum()) / max(float(expected.sum()), TINY) / free
    read = np.flatnonzero(total > 0)
    # half a lump more: a block in which nothing ran has a logarithm too, and says little
    shown = np.maximum(level[read] + 0.5 * lump / total[read], TINY)
    return CommonLevels(middle[read], np.log(shown), lump / (total[read] * shown))


def _by_block(own: UseIntervals, origin: float) -> tuple[Floats, Floats, Floats]:
    """Share each interval out evenly.

    Returns:
        Use and effective days by machine and block, latest block first, shape (m, blocks), and the
        middle of what is known of each block, days from the origin, shape (blocks,).

    """
    blocks = max(int(np.ceil((origin - own.start.min()) / BLOCK)), 1)
    m, lasted = own.n_machines, np.maximum(own.end - own.start, TINY)
    use, days, middle = np.zeros((m, blocks)), np.zeros((m, blocks)), np.zeros(blocks)
    for block in range(blocks):
        # what was read later on the day of the question belongs to the latest block
        end = np.minimum(own.end, origin - block * BLOCK if block else np.inf)
        start = np.maximum(own.start, origin - (block + 1) * BLOCK)
        part = np.clip(end - start, 0.0, None) / lasted
        worth = own.days * part
        use[:, block] = np.bincount(own.machine, own.use * part, m)
        days[:, block] = np.bincount(own.machine, worth, m)
        middle[block] = worth @ (0.5 * (start + end) - origin) / max(float(worth.sum()), TINY)
    return use, days, middle
