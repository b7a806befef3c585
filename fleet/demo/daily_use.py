"""How much a machine runs each day: on hire by its customer, on the ranch by season and weather.

Days of use are gamma distributed: positive, and heavy on the right, as real days are.  Amounts
are in the units of the meter: hours, metres, cycles.
"""

from collections.abc import Sequence

import numpy as np

from fleet.demo.day_numbers import in_season, weekdays_of
from fleet.demo.hire_seasons import SimulatedHire
from fleet.demo.scenario import Also, HirePattern, RanchPattern

MOST_A_DAY = {"hours": 21.0, "distance": 900_000.0, "cycles": 600.0}
"""What no machine of the demo outruns in a day."""


def _gamma(rng: np.random.Generator, mean: np.ndarray, spread: float) -> np.ndarray:
    """Gamma draws with these means and this coefficient of variation."""
    shape = 1 / spread**2
    return mean * rng.gamma(shape, 1 / shape, len(mean))


def machine_pace(rng: np.random.Generator, spread: float) -> float:
    """How hard this one machine is used against the others of its class; mean 1."""
    return float(np.exp(rng.normal(-(spread**2) / 2, spread)))


def hire_use(
    rng: np.random.Generator,
    pattern: HirePattern,
    days: np.ndarray,
    hires: Sequence[SimulatedHire],
    pace: float,
) -> np.ndarray:
    """Use on each day: on hire by customer and weekday, in the yard next to nothing."""
    mean = np.zeros(len(days))
    for hire in hires:
        inside = (days >= hire.first) & (days <= hire.last)
        mean[inside] = pattern.a_day * pace * rng.lognormal(-0.04, 0.28)
    mean[weekdays_of(days) == 6] *= pattern.sunday
    mean[rng.random(len(days)) < 0.12] = 0  # rain, no crew, waiting for parts
    moved = (mean == 0) & (rng.random(len(days)) < 0.15)
    used = _gamma(rng, mean, pattern.spread)
    used[moved] = pattern.a_day * 0.03
    return np.minimum(used, MOST_A_DAY[pattern.kind])


def _idle_spells(rng: np.random.Generator, chance: float, days: np.ndarray) -> np.ndarray:
    """Days on which the machine stands: spells of ten days to six weeks."""
    idle = np.zeros(len(days), dtype=bool)
    for start in np.flatnonzero(rng.random(len(days)) < chance / 30):
        idle[start : start + int(rng.integers(10, 43))] = True
    return idle


def ranch_use(
    rng: np.random.Generator, pattern: RanchPattern, days: np.ndarray, pace: float
) -> np.ndarray:
    """Use on each day: a little always, more in its seasons, none in bad weather or idle spells."""
    mean = np.full(len(days), float(pattern.base))
    busy = np.zeros(len(days), dtype=bool)
    for season in pattern.seasons:
        inside = in_season(days, season.start, season.end)
        mean[inside] += season.a_day
        busy |= inside
    mean[weekdays_of(days) == 6] *= 0.5
    mean[rng.random(len(days)) < np.where(busy, 0.2, 0.45)] = 0
    mean[_idle_spells(rng, pattern.idle_chance_a_month, days) & ~busy] = 0
    return np.minimum(_gamma(rng, mean * pace, 0.6), MOST_A_DAY[pattern.kind])


def also_use(rng: np.random.Generator, also: Also, main: np.ndarray, pace: float) -> np.ndarray:
    """Use on a second meter that runs with the first."""
    return np.minimum(_gamma(rng, main * also.per_unit * pace, also.spread), MOST_A_DAY[also.kind])


def mean_a_day(pattern: HirePattern | RanchPattern) -> float:
    """Use a day over a whole year, for a machine's age on its meter."""
    if isinstance(pattern, HirePattern):
        return pattern.a_day * float(np.mean(pattern.busy)) * 0.86
    days = np.arange(730_000, 730_365)
    seasons = [s.a_day * float(in_season(days, s.start, s.end).mean()) for s in pattern.seasons]
    return 0.6 * pattern.base + 0.75 * sum(seasons)
