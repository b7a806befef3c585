"""Months as a fleet's own past teaches them, learnt by every door in the same way."""

from dataclasses import replace

import numpy as np

from scheduling.core.forecast.circumstances import UseCircumstances
from scheduling.core.forecast.day_clock import HORIZON
from scheduling.core.usage import (
    Cleaned,
    DayWeights,
    Floats,
    UseIntervals,
    learn_calendar,
    month_of,
    use_intervals,
)

LEAST_HISTORY = 396.0
"""Days of readings up to which no months are learnt: thirteen months. Until then `seasons_to_come`
reckons with what they may bring."""

LEAST_PART = 0.1
"""Least part of a stretch of days that seasons may leave of it, when use is divided by it."""


def learn_months(
    cleaned: Cleaned, about: UseCircumstances, first_day: float = 0.0
) -> Floats | None:
    """Return the weight of each month by group, shape (groups, 12), mean 1; None for flat.

    Use is divided by what the day weights let expect of its days, so that a haying that the owner
    states is not learnt a second time.

    Args:
        cleaned: life lines of m machines.
        about: their groups, and the day weights that are stated.
        first_day: the day that the lines count from, days since 1970-01-01, to know the month.

    """
    seen = use_intervals(cleaned, about.day_weights)
    if not seen.start.size or seen.end.max() - seen.start.min() <= LEAST_HISTORY:
        return None
    lasted = seen.end - seen.start
    use = seen.use * lasted / np.maximum(seen.days, LEAST_PART * lasted)
    plain = UseIntervals(
        seen.machine, seen.start + first_day, seen.end + first_day, lasted, use, seen.n_machines
    )
    return learn_calendar(plain, about.groups).month.round(4)


def with_months(cleaned: Cleaned, about: UseCircumstances) -> UseCircumstances:
    """Return the circumstances with the months that the fleet teaches among their day weights.

    For lines that count days from 1970-01-01 and circumstances that state no day weights.

    Args:
        cleaned: life lines of m machines.
        about: their groups and the origin.

    """
    months = learn_months(cleaned, about)
    if months is None:
        return about
    start = int(np.floor(cleaned.day.min()))
    day = np.arange(start, int(about.origin) + HORIZON + 2)
    weight = months[about.groups][:, month_of(day)]
    return replace(about, day_weights=DayWeights(start, weight))
