"""Questions put to a fleet's own past, whose answers are known by now.

At a day in the past only what was read by then is known. For a machine and a level of use, did
the meter get there by this or that later reading? A forecast made for that day gives the chance;
the reading gives the answer, without any guess at what happened between readings.
"""

from dataclasses import dataclass

import numpy as np

from scheduling.core.usage import (
    Cleaned,
    DayWeights,
    Flags,
    Floats,
    Ints,
    Memory,
    UseIntervals,
    remembered,
)

LOOKS = np.array([10.0, 25.0, 50.0, 90.0, 120.0])
"""Days after the day in the past at which the meter is looked at again, up to the horizon; closer
together at first, where a forecast can be sharp."""

LATEST = 1.6
"""A look falls on the first reading at or after it, at most so many times as late."""

LEVELS = np.array([8.0, 20.0, 50.0])
"""Levels asked about, in days at the mean rate of the machine's group: a little, some and much left
to run. By the group's rate, so that a level tells nothing of the machine's own."""

MOST_MACHINES = 300
"""Machines asked about, taken evenly from all: enough to judge by, quick at any fleet's size."""


@dataclass(frozen=True)
class PastQuestions:
    """Questions of one day in the past about k machines.

    Attributes:
        day: days since 1970-01-01.
        intervals: what was known of the k machines by then.
        group: their groups, shape (k,).
        level: use above the last reading asked about, shape (k, levels).
        days: effective days from the last reading to each look, shape (k, looks).
        reached: the meter had run so far at that look, shape (k, looks, levels).
        weight: days that each look stands for; 0 where there is no reading; shape (k, looks).

    """

    day: float
    intervals: UseIntervals
    group: Ints
    level: Floats
    days: Floats
    reached: Flags
    weight: Floats


def ask_past(
    cleaned: Cleaned,
    intervals: UseIntervals,
    group: Ints,
    day: float,
    weights: DayWeights | None = None,
) -> PastQuestions | None:
    """Return the questions of one day in the past; None where there is nothing to ask.

    Args:
        cleaned: life lines of m machines, up to now.
        intervals: their known use.
        group: their groups, shape (m,).
        day: the day in the past, days since 1970-01-01.
        weights: what each day may bring, as the intervals were cut by; None for all days alike.

    """
    known = intervals.where(intervals.end <= day)
    ran = np.bincount(known.machine, known.use, cleaned.n_machines) > 0
    last = _last_point(cleaned, day)
    asked = np.flatnonzero(ran & (last >= 0))
    if not asked.size:
        return None
    if asked.size > MOST_MACHINES:
        asked = asked[np.linspace(0, asked.size - 1, MOST_MACHINES).astype(np.int64)]
    known = known.of(asked)
    level = _levels(known, group[asked], day)
    row, good = _looks(cleaned, asked, last[asked], day)
    start = last[asked][:, None]
    begin, end = np.broadcast_arrays(cleaned.day[start], cleaned.day[row])
    if weights is None:
        days = end - begin
    else:
        days = weights.between(np.broadcast_to(asked[:, None], row.shape), begin, end)
    ran_since = cleaned.points_life[row] - cleaned.points_life[start]
    return PastQuestions(
        day=day,
        intervals=known,
        group=group[asked],
        level=level,
        days=days,
        reached=ran_since[:, :, None] >= level[:, None, :],
        weight=np.where(good, np.diff(LOOKS, prepend=0.0), 0.0),
    )


def _last_point(cleaned: Cleaned, day: float) -> Ints:
    """Return the row of each machine's last point up to a day, -1 for none, shape (m,)."""
    upto = np.bincount(cleaned.machine[cleaned.day <= day], minlength=cleaned.n_machines)
    return np.where(upto > 0, cleaned.first + upto - 1, -1)


def _levels(known: UseIntervals, group: Ints, day: float) -> Floats:
    """Return the levels asked about, in the meter's unit, shape (k, levels)."""
    # by the default memory whatever the law: the questions must be the same for all laws compared
    seen = remembered(known, day, Memory())
    n_groups = int(group.max()) + 1
    use = np.bincount(group, seen.use, n_groups)
    days = np.bincount(group, seen.days, n_groups)
    return (use / np.maximum(days, 1e-9))[group][:, None] * LEVELS


def _looks(cleaned: Cleaned, asked: Ints, last: Ints, day: float) -> tuple[Ints, Flags]:
    """Return the point at each look and whether it will do; shapes (k, looks)."""
    count = np.zeros((asked.size, LOOKS.size), dtype=np.int64)
    for column, after in enumerate(LOOKS):
        earlier = cleaned.machine[cleaned.day < day + after]
        count[:, column] = np.bincount(earlier, minlength=cleaned.n_machines)[asked]
    row = cleaned.first[asked][:, None] + count
    inside = row <= cleaned.last[asked][:, None]
    row = np.minimum(row, cleaned.last[asked][:, None])
    # with an unrecorded swap in between nobody knows how far the meter ran
    unknown = np.cumsum(~cleaned.known)
    whole = unknown[row] == unknown[last][:, None]
    # a reading long after the look would ask another question, and the idle are read the least
    late = cleaned.day[row] - day > LATEST * LOOKS
    return row, inside & whole & ~late
