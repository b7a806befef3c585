"""Whether and when a meter reached a due point, as the readings that came since tell.

The question "by which day does this meter show so much?" has an answer whatever became of the
service: a machine whose service was done early runs on all the same, and passes the old due point
later. So nothing is struck out for an early service or an interval that was changed: that would
leave the quick ones in and the slow ones out. Struck out is only what readings cannot tell.
"""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np

from scheduling.core.forecast import HORIZON
from scheduling.core.usage import Cleaned, Flags, Floats, Ints

MOST_GAP = 35.0
"""Days between the readings around the due point above which its day is not known well enough; a
choice. Use is not even, so the straight line between them says less the longer it is."""

PATIENCE = 180
"""Days after which a due point that no reading tells of is given up: the 120 days of the forecast
and two months' patience, a choice."""


class DueOutcome(IntEnum):
    """What readings say of a due point."""

    OPEN = 0  # not yet reached, and its 120 days are not over for all that readings tell
    REACHED = 1  # reached within 120 days, or before the question was asked
    BEYOND = 2  # a reading after 120 days still shows less
    UNREAD = 3  # not read for so long that nobody knows
    GAP = 4  # reached somewhere in a gap without readings, or with a meter swapped unrecorded


@dataclass(frozen=True)
class Settled:
    """What became of due points; arrays of shape (n,).

    Attributes:
        outcome: a `DueOutcome`.
        truth: whole days after the day asked by whose end the due point was reached, 0 to 120
            (120: then or later); -1 where it is not known.
        known_on: day of the reading that tells, floored; for UNREAD the day of giving up; NaN
            where still open.

    """

    outcome: Ints
    truth: Ints
    known_on: Floats


def settle(
    cleaned: Cleaned, machine: Ints, due_life: Floats, asked: Floats, today: float
) -> Settled:
    """Say what became of due points that were forecast on past days.

    Between two readings the day is read off the straight line between them.

    Args:
        cleaned: life lines of m machines up to today.
        machine: machine of each due point, shape (n,).
        due_life: the due points, as life on the same lines, shape (n,).
        asked: day on which each was forecast (whole), in the days of the lines, shape (n,).
        today: the day of the lines' frame up to which is looked.

    """
    at = _first_reaching(cleaned, machine, due_life)
    reached = (cleaned.first[machine] >= 0) & (at <= cleaned.last[machine])
    before, after, crossed = _around(cleaned, machine, due_life, at, reached)
    # the end of the last day that a forecast speaks of: days count from the start of the day asked
    end = asked + HORIZON + 1
    last = np.nan_to_num(cleaned.last_day[machine], nan=-np.inf)
    still_below = np.where(reached, before, last) >= end
    telling = np.where(still_below, _first_at(cleaned.machine, cleaned.day, machine, end), at)
    unsure = _swapped(cleaned, machine, asked, np.minimum(telling, cleaned.last[machine]))
    # a long gap leaves the day open, unless the meter was still below when the 120 days were over
    unsure |= reached & ~still_below & (np.nan_to_num(after - before, nan=0.0) > MOST_GAP)
    told = reached | still_below
    # a gap first, since no answer that rests on one can be trusted; giving up last, since even a
    # late reading tells more than the calendar
    outcome = np.select(
        [told & unsure, still_below | (reached & (crossed >= end)), reached,
         today > asked + PATIENCE],
        [DueOutcome.GAP, DueOutcome.BEYOND, DueOutcome.REACHED, DueOutcome.UNREAD],
        default=DueOutcome.OPEN,
    ).astype(np.int64)  # fmt: skip
    ahead = np.clip(np.floor(np.where(reached, crossed, end) - asked), 0, HORIZON)
    known = np.isin(outcome, [DueOutcome.REACHED, DueOutcome.BEYOND])
    truth = np.where(known, np.where(outcome == DueOutcome.BEYOND, HORIZON, ahead), -1)
    known_on = np.full(asked.size, np.nan)
    shown = np.flatnonzero(told)
    known_on[shown] = np.maximum(np.floor(cleaned.day[telling[shown]]), asked[shown])
    known_on = np.where(outcome == DueOutcome.UNREAD, asked + PATIENCE, known_on)
    return Settled(outcome, truth.astype(np.int64), known_on)


def _swapped(cleaned: Cleaned, machine: Ints, asked: Floats, telling: Ints) -> Flags:
    """Tell whether use is unknown on some step from the day asked to the reading that tells."""
    if not cleaned.day.size:
        return np.zeros(machine.size, dtype=np.bool_)
    unknown = np.cumsum(~cleaned.known)
    # from the last reading before the day asked: a swap on the step across that day counts too
    start = np.maximum(_first_at(cleaned.machine, cleaned.day, machine, asked) - 1,
                       cleaned.first[machine])  # fmt: skip
    has = (cleaned.first[machine] >= 0) & (telling >= start)
    return has & (unknown[np.where(has, telling, 0)] > unknown[np.where(has, start, 0)])


def _first_reaching(cleaned: Cleaned, machine: Ints, due_life: Floats) -> Ints:
    """Return the row of the first point at or above each due life; past the last row for none."""
    highest = _running_max(cleaned)
    return _first_at(cleaned.machine, highest, machine, due_life)


def _running_max(cleaned: Cleaned) -> Floats:
    """Return the highest life so far at each point: rounding may let a line dip a little."""
    life = cleaned.points_life.copy()
    for start, end in _dips(cleaned):
        life[start:end] = np.maximum.accumulate(life[start:end])
    return life


def _dips(cleaned: Cleaned) -> list[tuple[int, int]]:
    """Return the rows of those machines whose line dips anywhere; they are few."""
    falls = np.flatnonzero(np.diff(cleaned.points_life) < 0) + 1
    falls = falls[cleaned.machine[falls] == cleaned.machine[falls - 1]]
    who = np.unique(cleaned.machine[falls])
    return [(int(cleaned.first[m]), int(cleaned.last[m]) + 1) for m in who]


def _first_at(run: Ints, value: Floats, ask_run: Ints, ask_value: Floats) -> Ints:
    """Return the row of the first value of a run that is not below each one asked for.

    Rows are sorted by run and value; past the last row of the run where all are below.
    """
    p = value.size
    order = np.lexsort((
        np.repeat([1, 0], [p, ask_value.size]),
        np.concatenate([value, ask_value]),
        np.concatenate([run, ask_run]),
    ))  # fmt: skip
    place = np.empty(order.size, dtype=np.int64)
    place[order] = np.cumsum(order < p)
    return place[p:]


def _around(
    cleaned: Cleaned, machine: Ints, due_life: Floats, at: Ints, reached: Flags
) -> tuple[Floats, Floats, Floats]:
    """Return the days of the readings before and after each due point, and its own day.

    -inf, inf and inf where there is none; a due point below the first reading has that one's day.
    """
    inner = reached & (at > cleaned.first[machine])
    if not cleaned.day.size:
        nothing = np.full(at.size, np.inf)
        return -nothing, nothing, nothing
    high = np.where(reached, at, 0)
    low = np.where(inner, at - 1, high)
    after = np.where(reached, cleaned.day[high], np.inf)
    before = np.where(reached, cleaned.day[low], -np.inf)
    step = cleaned.points_life[high] - cleaned.points_life[low]
    part = np.divide(
        due_life - cleaned.points_life[low], step, out=np.ones(at.size), where=inner & (step > 0)
    )
    span = cleaned.day[high] - cleaned.day[low]
    crossed = np.where(inner, cleaned.day[low] + np.clip(part, 0, 1) * span, after)
    return before, after, np.where(reached, crossed, np.inf)
