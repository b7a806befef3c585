"""The largest set of readings that one meter can have shown, found only where something jars.

Idea: a reading kept gains 1; a step between two kept readings that no meter can have made costs
1.5 and stands for a meter swapped without record. One bad reading is therefore cheaper dropped
(1) than explained by two swaps (3), and two readings on a new meter outweigh one swap (2 > 1.5).
A lone last reading that does not fit stays a suspect until a second one confirms it.

Most stretches have no implausible step and are kept whole. Around each implausible step a block
of rows is cut out whose outer rows are trusted, and the dynamic programme

    best(k) = gain(k) + max(0, max over i < k of best(i) - 1.5 [step i→k implausible])

runs over all blocks of like length at once. Work grows with the number of bad readings, not with
that of readings.
"""

import numpy as np

from scheduling.core.usage.flat_arrays import Flags, Floats, Ints, previous_in_run
from scheduling.core.usage.plausible import plausible_link

SWAP_COST = 1.5
"""Cost of an unrecorded swap, in readings dropped."""

REACH = 6
"""Rows on each side of an implausible step that are looked at again."""

LOOK_BACK = 40
"""The farthest earlier row that a row may be linked to."""

SURE_GAIN = 1000.0
"""Gain of a row that the rows beyond its block vouch for."""


def largest_chain(run: Ints, day: Floats, value: Floats, ceiling: Floats) -> tuple[Flags, Flags]:
    """Choose the readings to believe, and the steps that can only be an unrecorded swap.

    Args:
        run: the stretch (one meter of one machine) of each row; rows sorted by run, day, value.
        day: days, shape (n,).
        value: finite readings in the meter's unit, shape (n,).
        ceiling: fastest use believed for each row's machine, units per day, shape (n,).

    Returns:
        kept, shape (n,): the row belongs to the chain;
        broken, shape (n,): the step from the kept row before it to this kept row is a swap
        that is not on record.

    """
    kept = np.ones(run.size, dtype=np.bool_)
    jars = _implausible_steps(run, day, value, ceiling)
    if jars.any():
        first, length, anchored = _blocks(run, jars)
        for rows, real, gain in _tables(first, length, anchored):
            chosen = _solve(day[rows], value[rows], ceiling[rows], gain)
            kept[rows[real]] = chosen[real]
    # judged anew on the chosen rows: a step may be sound once the typo in between is gone
    broken = np.zeros(run.size, dtype=np.bool_)
    at = np.flatnonzero(kept)
    broken[at] = _implausible_steps(run[at], day[at], value[at], ceiling[at])
    return kept, broken


def _implausible_steps(run: Ints, day: Floats, value: Floats, ceiling: Floats) -> Flags:
    """Flag the rows that cannot follow the row before them in their run."""
    before = previous_in_run(run)
    dx, dt = value - value[before], day - day[before]
    return (before >= 0) & ~plausible_link(dx, dt, ceiling)


def _blocks(run: Ints, jars: Flags) -> tuple[Ints, Ints, Flags]:
    """Return first row and length of each block to look at again, and whether its ends are sure.

    Shapes (b,), (b,) and (b, 2): an end is sure when trusted rows of the run lie beyond it.
    """
    n = run.size
    starts = np.searchsorted(run, run, side="left")
    ends = np.searchsorted(run, run, side="right")
    at = np.flatnonzero(jars)
    # +1 where a neighbourhood begins and -1 behind its end: overlapping ones melt into one block
    edge = np.zeros(n + 1, dtype=np.int64)
    np.add.at(edge, np.maximum(at - 1 - REACH, starts[at]), 1)
    np.add.at(edge, np.minimum(at + REACH + 1, ends[at]), -1)
    near = np.cumsum(edge[:-1]) > 0
    follows = np.zeros(n, dtype=np.bool_)
    follows[1:] = near[:-1] & (run[1:] == run[:-1])
    first = np.flatnonzero(near & ~follows)
    goes_on = np.zeros(n, dtype=np.bool_)
    goes_on[:-1] = follows[1:] & near[1:]
    last = np.flatnonzero(near & ~goes_on)
    sure = np.stack([first > starts[first], last + 1 < ends[last]], axis=1)
    return first, last - first + 1, sure


def _tables(first: Ints, length: Ints, sure: Flags) -> list[tuple[Ints, Flags, Floats]]:
    """Stack blocks of like length: row numbers, which cells are real, and the gain of each."""
    tables = []
    # widths that are powers of two: few tables to run, and none more than half empty
    size = np.exp2(np.ceil(np.log2(length))).astype(np.int64)
    for width in np.unique(size):
        block = np.flatnonzero(size == width)
        longest = length[block].max()
        column = np.arange(longest)[None, :]
        real = column < length[block][:, None]
        rows = np.where(real, first[block][:, None] + column, first[block][:, None])
        gain = np.where(real, 1.0, -np.inf)
        # blocks cut off from trusted rows must begin and end on the line that goes on beyond them
        gain[sure[block, 0], 0] = SURE_GAIN
        closing = np.flatnonzero(sure[block, 1])
        gain[closing, length[block][closing] - 1] = SURE_GAIN
        tables.append((rows, real, gain))
    return tables


def _solve(day: Floats, value: Floats, ceiling: Floats, gain: Floats) -> Flags:
    """Run the dynamic programme over blocks side by side; all shapes (blocks, length)."""
    blocks, length = day.shape
    best = gain.copy()
    link = np.full((blocks, length), -1, dtype=np.int64)
    here = np.arange(blocks)
    for k in range(1, length):
        near = slice(max(0, k - LOOK_BACK), k)
        dx = value[:, k, None] - value[:, near]
        dt = day[:, k, None] - day[:, near]
        cost = np.where(plausible_link(dx, dt, ceiling[:, k, None]), 0.0, SWAP_COST)
        # turned round, so that of equal links the nearest is taken: argmax keeps the first
        through = (best[:, near] - cost)[:, ::-1]
        choice = np.argmax(through, axis=1)
        worth = through[here, choice]
        better = worth > 0
        best[better, k] += worth[better]
        link[better, k] = k - 1 - choice[better]
    return _trace(best, link)


def _trace(best: Floats, link: Ints) -> Flags:
    """Follow the links back from each block's best end; shape (blocks, length)."""
    chosen = np.zeros(best.shape, dtype=np.bool_)
    here = np.arange(best.shape[0])
    at = np.argmax(best, axis=1)
    while here.size:
        chosen[here, at] = True
        at = link[here, at]
        here, at = here[at >= 0], at[at >= 0]
    return chosen
