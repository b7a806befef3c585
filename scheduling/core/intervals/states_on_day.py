"""Due states: what a due point means on a given day and meter."""

from enum import IntEnum

import numpy as np
from numpy.typing import ArrayLike

from scheduling.core.intervals.line_arrays import SLACK, Bools, Floats, Ints
from scheduling.core.intervals.next_due import DuePoints

LOOK_AHEAD = 14
"""Days ahead for which a service counts as coming due."""


class DueState(IntEnum):
    """State of a service, in rising order of concern, so that the worst is the largest.

    CLEAR: nothing to do. UNKNOWN: the meter, or what to count from, is not known. COMING_DUE: the
    due point is reached within the look-ahead. DUE: inside the window. OVERDUE: past its late end.
    """

    CLEAR = 0
    UNKNOWN = 1
    COMING_DUE = 2
    DUE = 3
    OVERDUE = 4


def due_states(
    points: DuePoints,
    today: ArrayLike,
    life_now: ArrayLike,
    days_to_due: ArrayLike = np.nan,
    look_ahead: ArrayLike = LOOK_AHEAD,
) -> Ints:
    """Return the ``DueState`` of each line, the worse of its two sides, shape (n,).

    today: datetime64[D], one day or one a line (yards in other zones may have another date).
    life_now: life on the line's meter, NaN if unknown.
    days_to_due: forecast days from today until the due point is reached on the meter (the median,
    say); NaN or inf where it is not reached within the forecast.
    look_ahead: days.

    A line that is due at once is DUE; if it is hard it is OVERDUE, as there is no window to be in.
    """
    day = np.asarray(today, dtype="datetime64[D]")
    meter = _meter_states(points, np.asarray(life_now, dtype=np.float64))
    states = np.maximum(meter, _calendar_states(points, day))
    ahead = np.asarray(look_ahead).astype("timedelta64[D]")
    # a NaN forecast compares false: a meter that nobody reads makes nothing come due by itself
    coming = (points.due_day <= day + ahead) | (np.asarray(days_to_due) <= look_ahead)
    states = np.where(coming, np.maximum(states, DueState.COMING_DUE), states)
    at_once = np.where(points.hard, DueState.OVERDUE, DueState.DUE)
    return np.where(points.due_at_once, np.maximum(states, at_once), states)


def barred(points: DuePoints, states: Ints) -> Bools:
    """Return where the machine may not go out, past the window of a hard limit, shape (n,)."""
    return points.hard & (states == DueState.OVERDUE)


def worst_states(states: Ints, machine: Ints, n_machines: int) -> Ints:
    """Return the worst state of each machine, shape (n_machines,).

    machine: index of each line's machine, shape (n,). A machine without lines is UNKNOWN: that
    nothing is set up does not make it sound.
    """
    worst = np.full(n_machines, -1, dtype=np.int64)
    np.maximum.at(worst, machine, states)
    return np.where(worst < 0, DueState.UNKNOWN, worst)


def _meter_states(points: DuePoints, life: Floats) -> Ints:
    unknown = (~np.isnan(points.due_life) & np.isnan(life)) | points.start_unknown
    # sums of tenths land a shade off, so the slack counts for being in time at both ends
    opened = life >= points.opens_life - SLACK
    closed = life > points.closes_life + SLACK
    # what the meter shows for certain comes before what it leaves open
    conditions = [closed, opened, unknown]
    return np.select(conditions, [DueState.OVERDUE, DueState.DUE, DueState.UNKNOWN], DueState.CLEAR)


def _calendar_states(points: DuePoints, day: np.ndarray) -> Ints:
    conditions = [day > points.closes_day, day >= points.opens_day]
    return np.select(conditions, [DueState.OVERDUE, DueState.DUE], DueState.CLEAR)
