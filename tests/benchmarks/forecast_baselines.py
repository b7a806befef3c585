"""The simple ways to guess a due date that a forecast has to beat.

Each gives a rate per day from the cleaned readings (cleaning is ours, to be fair to them), and
what is left over the rate is the day. A fleet's mean rate serves where a machine has none.
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime

import numpy as np

from scheduling.core.forecast import life_at
from scheduling.core.usage import Cleaned, Memory, remembered, use_intervals
from tests.benchmarks import forecast_door as door
from tests.benchmarks.forecast_protocol import CAP, Machine, Task

Rate = Callable[[Cleaned, float], np.ndarray]


def lifetime_average(cleaned: Cleaned, origin: float) -> np.ndarray:
    """Use per day from the first reading to the last."""
    return cleaned.last_life / (cleaned.last_day - cleaned.first_day)


def trailing(days: float) -> Rate:
    """Use per day over so many days before the last reading."""

    def rate(cleaned: Cleaned, origin: float) -> np.ndarray:
        since = np.maximum(cleaned.last_day - days, cleaned.first_day)
        return (cleaned.last_life - life_at(cleaned, since)) / (cleaned.last_day - since)

    return rate


def exponentially_weighted(half_life: float) -> Rate:
    """Mean use per day with weights that halve in so many days."""

    def rate(cleaned: Cleaned, origin: float) -> np.ndarray:
        seen = remembered(use_intervals(cleaned), origin, Memory(half_life, 1.0))
        return seen.use / seen.days

    return rate


BASELINES: dict[str, Rate] = {
    "lifetime average": lifetime_average,
    "trailing 30 d": trailing(30),
    "trailing 90 d": trailing(90),
    "exp. weighted, 30 d": exponentially_weighted(30),
    "exp. weighted, 60 d": exponentially_weighted(60),
}


def point_days(
    rate_of: Rate, tasks: Sequence[Task], fleet: Mapping[str, Machine], origin: datetime
) -> np.ndarray:
    """Return the days after the origin at which a rate uses up what is left, 0..CAP, shape (n,)."""
    cleaned, number = door.life_lines(list(fleet.values()))
    day = door.day_number(origin)
    with np.errstate(invalid="ignore", divide="ignore"):
        rate = rate_of(cleaned, day)
        usual = np.nanmean(rate[np.isfinite(rate)])
        rate = np.where(np.isfinite(rate), rate, usual)
        asked = np.array([number[task.machine] for task in tasks])
        left = np.array([t.threshold for t in tasks]) - np.nan_to_num(cleaned.last_value)[asked]
        days = left / rate[asked] - (day - cleaned.last_day)[asked]
    return np.clip(np.nan_to_num(np.where(left <= 0, 0.0, days), nan=CAP, posinf=CAP), 0, CAP)
