"""Seasons that a young fleet has not seen yet, and other swings of all its machines at once.

The courses that each group's level may take (`level_courses`) are put in order by the use that they
bring in the next two months, and taken together in a few parts of given chance. A forecast is the
mean over these, Σ_c P(c) F(E_c(d)), with E_c the effective days of course c. What the level did so
far weighs the days of the past, as months do that a fleet has learnt (`learnt_seasons`): a machine
read in winter is not thought idle for good.
"""

from dataclasses import dataclass, replace

import numpy as np

from scheduling.core.forecast.circumstances import UseCircumstances
from scheduling.core.forecast.day_clock import HORIZON, DayClock
from scheduling.core.forecast.learnt_seasons import LEAST_HISTORY
from scheduling.core.forecast.level_courses import draw_courses, even_shares, nature_shares
from scheduling.core.usage import (
    BLOCK,
    Cleaned,
    CommonLevels,
    DayWeights,
    Floats,
    Ints,
    Memory,
    UseIntervals,
    common_levels,
    use_intervals,
)

PARTS = np.array([2, 3, 6, 3, 2]) / 16
"""The chances of the parts into which drawn courses are taken together; a choice, finer towards
both ends of the range, and in sixteenths, which add up to 1 without rounding."""

JUDGED = 4
"""Blocks to come by which courses are put in order: two months."""

LEAST_SPREAD = 0.04
"""Root of the mean square by which courses differ from what was so far, below which they are left
out: a day in a month, less than the date is unsure by anyhow. A choice."""

LEAST_MACHINES, LEAST_BLOCKS = 3, 4
"""Machines that ran, and half months, below which a group goes by the whole fleet's level."""

STATED = 0.1
"""Least difference between days, all machines together, by which the owner has stated a season."""

AHEAD = int(HORIZON // BLOCK) + 1
"""Blocks from the origin on."""


@dataclass(frozen=True)
class SeasonsToCome:
    """What a day may bring in each group; the last row is the whole fleet's, for a group not met.

    Weights have a mean of 1 as remembered by the default memory.

    Attributes:
        past: weight of a day in each block before the origin, latest first, (groups + 1, blocks).
        coming: the same of each course and block from the origin on, (5, groups + 1, AHEAD).

    """

    past: Floats
    coming: Floats

    @property
    def mean(self) -> Floats:
        """Weight of a day in each block from the origin on, over all courses, (groups, AHEAD)."""
        return np.tensordot(PARTS, self.coming, axes=1)

    def weighed(self, about: UseCircumstances, cleaned: Cleaned) -> UseCircumstances:
        """Return the circumstances with what days brought, and may bring, among their weights.

        Args:
            about: the groups of m machines, what is stated of their days, and the origin.
            cleaned: their life lines.

        """
        today = int(np.floor(about.origin))
        start = int(np.floor(min(cleaned.day.min(initial=np.inf), about.origin)))
        day = np.arange(start, today + HORIZON + 1)
        block = np.floor((day - today) / BLOCK).astype(np.int64)
        before = np.clip(-1 - block, 0, self.past.shape[1] - 1)
        after = np.clip(block, 0, AHEAD - 1)
        weight = np.where(block < 0, self.past[:, before], self.mean[:, after])[self._rows(about)]
        if about.day_weights is not None:
            machine = np.arange(weight.shape[0])[:, None]
            every = np.broadcast_arrays(machine, day[None, :].astype(np.float64))
            weight = weight * about.day_weights.between(every[0], every[1], every[1] + 1.0)
        return replace(about, day_weights=DayWeights(start, np.maximum(weight, 0.0)))

    def clocks(self, mean: DayClock, about: UseCircumstances) -> tuple[DayClock, ...]:
        """Return the clock of each course, given that of their mean; chances are `PARTS`."""
        if mean.effective is None:
            return ()
        first, day = mean.effective[:, :1], np.diff(mean.effective, axis=1)
        block = (np.arange(1, HORIZON + 1) // BLOCK).astype(np.int64)
        ratio = (self.coming / self.mean)[:, self._rows(about)][:, :, block]
        return tuple(
            replace(mean, effective=np.hstack([first, first + np.cumsum(day * one, axis=1)]))
            for one in ratio
        )

    def _rows(self, about: UseCircumstances) -> Ints:
        return np.minimum(about.groups, self.past.shape[0] - 1)


def seasons_to_come(cleaned: Cleaned, about: UseCircumstances) -> SeasonsToCome | None:
    """Return what days may bring to a fleet that has not seen its whole year.

    Structural time series as in `level_courses` (Harvey 1989, section 2.3).

    Args:
        cleaned: life lines of m machines.
        about: their groups, what is stated of their days, and the origin.

    Returns:
        None from thirteen months of readings on, where the owner has stated a season, and where
        all courses bring what was so far.

    """
    seen = use_intervals(cleaned, about.day_weights)
    seen = seen.where((seen.days > 0) & (seen.start < about.origin))
    if not seen.use.sum() > 0 or seen.end.max() - seen.start.min() > LEAST_HISTORY:
        return None
    fleet = _levels(seen, about.origin)
    if fleet is None or _is_stated(about, float(seen.start.min())):
        return None
    n_groups = int(about.groups.max(initial=0)) + 1
    own = [
        _levels(seen.where(about.groups[seen.machine] == g), about.origin) for g in range(n_groups)
    ]
    told = [levels for levels in own if levels is not None]
    shares = nature_shares(told) if n_groups > 1 else even_shares()
    blocks = int(np.ceil((about.origin - seen.start.min()) / BLOCK))
    whole = _weights(fleet, blocks, shares)
    found = [
        whole if one is None or n_groups == 1 else _weights(one, blocks, shares) for one in own
    ]
    found.append(whole)
    if all(_same(coming) for _, coming in found):
        return None
    # rounded, as it is kept: what is learnt at night and what is looked up by day are one
    past, coming = np.stack([p for p, _ in found]), np.stack([c for _, c in found], axis=1)
    return SeasonsToCome(past.round(4), np.maximum(coming.round(4), 1e-4))


def _levels(own: UseIntervals, origin: float) -> CommonLevels | None:
    """Return the levels of a group; None for too little to tell."""
    if np.unique(own.machine[own.use > 0]).size < LEAST_MACHINES:
        return None
    levels = common_levels(own, origin)
    return levels if levels.at.size >= LEAST_BLOCKS else None


def _is_stated(about: UseCircumstances, start: float) -> bool:
    """Tell whether the owner has stated a season of the machines together."""
    if about.day_weights is None:
        return False
    begin = np.arange(start, about.origin + HORIZON - BLOCK, BLOCK)
    machine, at = np.broadcast_arrays(np.arange(about.groups.size)[:, None], begin[None, :])
    weight = about.day_weights.between(machine, at, at + BLOCK).mean(axis=0) / BLOCK
    return float(np.ptp(weight)) > STATED


def _weights(levels: CommonLevels, blocks: int, shares: Floats) -> tuple[Floats, Floats]:
    """Return a group's weights of past blocks, and of its courses: (blocks,), (5, AHEAD)."""
    asked = np.concatenate([-(np.arange(blocks) + 0.5), np.arange(AHEAD) + 0.5]) * BLOCK
    drawn = draw_courses(levels, asked, shares)
    past, coming = drawn[:, :blocks].mean(axis=0), drawn[:, blocks:]
    remembered = np.exp2(asked[:blocks] / Memory().half_life)
    scale = float(remembered @ past / remembered.sum())
    order = np.argsort(coming[:, :JUDGED].mean(axis=1), kind="stable")
    parts = np.split(order, np.rint(np.cumsum(PARTS)[:-1] * order.size).astype(np.int64))
    return past / scale, np.stack([coming[part].mean(axis=0) for part in parts]) / scale


def _same(coming: Floats) -> bool:
    """Tell whether all courses of a group bring what days brought so far, shape (5, AHEAD)."""
    return float(PARTS @ (coming.mean(axis=1) - 1.0) ** 2) <= LEAST_SPREAD**2
