"""Hours of work that come week by week, every repeat of every service counted.

Simulated: in each draw a service falls due on a day of its forecast, is done then, and comes again
after its interval at the machine's own use.  The forecast of the first day is taken as two halves
of a normal distribution that meet at its median (a split normal: Wallis 2014, Statistical Science
29, doi 10.1214/13-STS417; from memory); how unsure use is, as the spread of that day tells, scales
all repeats of a draw alike, since a machine that runs much this month does so next month.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

TENTH = 1.2815515655446004
"""Standard deviations from the median of a normal distribution to its ninth tenth."""
MOST_UNSURE = 0.5
"""Coefficient of variation of a machine's use beyond which a spread says nothing more (ours)."""
WEEK = 7
DRAWS = 128
"""Draws; the mean of 100 h with a deviation of 20 h a draw is then known to 2 h."""


@dataclass(frozen=True)
class RepeatingWork:
    """n lines of work, each array of shape (n,).

    low, middle, high: days from today on which it falls due with a chance of 10, 50 and 90 %;
    below 0: past.  Infinite: not within sight.  every: days from one time to the next, infinite
    where it does not come again.  hours: of each time.  skill: index of the skill that it asks for.
    covered_by: for each line the lines whose doing does it too.
    """

    low: Floats
    middle: Floats
    high: Floats
    every: Floats
    hours: Floats
    skill: NDArray[np.int64]
    covered_by: Sequence[Sequence[int]]


@dataclass(frozen=True)
class WorkToCome:
    """Hours by skill and week, each of shape (skills, weeks): expected, and not passed in 9 of 10.

    together: of all skills, shape (weeks,) each.  by_skill: over all the weeks, shape (skills,).
    """

    expected: Floats
    ninth_tenth: Floats
    together: Floats
    together_ninth: Floats
    by_skill: Floats
    by_skill_ninth: Floats


def work_to_come(
    work: RepeatingWork,
    skills: int,
    weeks: int,
    *,
    gone: int = 0,
    seed: int = 0,
    draws: int = DRAWS,
) -> WorkToCome:
    """Return the hours of work that come in so many weeks, by skill and week.

    gone: days of the first week that are over, so that weeks can begin on a Monday.
    """
    days = times_due(work, weeks * WEEK - gone, np.random.default_rng(seed), draws)
    hours = np.zeros((draws, skills, weeks))
    draw = np.arange(draws)[:, None]
    for line, own in enumerate(days):
        within = np.isfinite(own)
        week = (np.where(within, own, 0).astype(np.int64) + gone) // WEEK
        add = np.where(within, work.hours[line], 0.0)
        np.add.at(hours, (np.broadcast_to(draw, week.shape), work.skill[line], week), add)
    total, by_skill = hours.sum(axis=1), hours.sum(axis=2)
    return WorkToCome(
        hours.mean(axis=0),
        np.quantile(hours, 0.9, axis=0),
        total.mean(axis=0),
        np.quantile(total, 0.9, axis=0),
        by_skill.mean(axis=0),
        np.quantile(by_skill, 0.9, axis=0),
    )


def middle_times(work: RepeatingWork, horizon: int) -> list[Floats]:
    """Return for each line the days on which it is done, at the middle of its forecast.

    Days from today, sorted; none where it does not fall due within the horizon.
    """
    found = [_times(work, line, horizon, np.zeros(1)) for line in range(len(work.middle))]
    alone = [_without_covered(found, work, line)[0] for line in range(len(found))]
    return [np.sort(days[np.isfinite(days)]) for days in alone]


def times_due(
    work: RepeatingWork, horizon: int, random: np.random.Generator, draws: int
) -> list[Floats]:
    """Return for each line the days on which it is done, (draws, times); infinite: not at all."""
    found = [
        _times(work, line, horizon, random.standard_normal(draws))
        for line in range(len(work.middle))
    ]
    return [_without_covered(found, work, line) for line in range(len(found))]


def _times(work: RepeatingWork, line: int, horizon: int, chance: Floats) -> Floats:
    middle = float(work.middle[line])
    if not np.isfinite(middle):
        return np.full((len(chance), 1), np.inf)
    below, above = _sides(middle - work.low[line], work.high[line] - middle)
    spread = np.where(chance < 0, below, above) / TENTH
    first = np.maximum(0.0, middle + chance * spread)
    if not first.min() < horizon:
        return np.full((len(chance), 1), np.inf)
    every = float(work.every[line])
    if not np.isfinite(every):
        return np.where(first < horizon, first, np.inf)[:, None]
    every = max(every, 1.0)
    unsure = min(MOST_UNSURE, (below + above) / (2 * TENTH) / max(middle, every))
    # a mean of one: lognormal with this coefficient of variation
    wide = np.sqrt(np.log1p(unsure**2))
    pace = np.exp(wide * chance - wide**2 / 2)
    count = int((horizon - float(first.min())) / (every * float(pace.min()))) + 1
    days = first[:, None] + np.arange(max(1, min(count, horizon))) * (every * pace)[:, None]
    return np.where(days < horizon, days, np.inf)


def _sides(below: float, above: float) -> tuple[float, float]:
    """Return how far the tenths lie from the middle; one beyond sight lies as far as the other."""
    seen = [one for one in (below, above) if np.isfinite(one)] or [0.0]
    return (
        float(below if np.isfinite(below) else seen[0]),
        float(above if np.isfinite(above) else seen[0]),
    )


def _without_covered(found: Sequence[Floats], work: RepeatingWork, line: int) -> Floats:
    """Return the days of a line without those on which a service that does it too is done.

    Within half of its interval, or half of the other's if that is shorter, the two are one visit.
    """
    own = found[line]
    for upper in work.covered_by[line]:
        near = min(float(work.every[line]), float(work.every[upper])) / 2
        other = found[upper]
        with np.errstate(invalid="ignore"):
            apart = np.abs(own[:, :, None] - other[:, None, :])
        done = np.nan_to_num(apart, nan=np.inf) <= near
        own = np.where(done.any(axis=2), np.inf, own)
    return own
