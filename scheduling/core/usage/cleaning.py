"""From readings as typed to a life line that can be believed.

Swaps on record cut a machine's readings into stretches of one meter each, and bring two readings
of their own. In each stretch the largest plausible set of readings is kept (`plausible_chain`); a
step that no meter can have made is taken for a swap without record, whose use is not known and is
filled in at the machine's mean rate. Life is then the use since the first reading that counts.
"""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np

from scheduling.core.usage.flat_arrays import Flags, Floats, Ints, previous_in_run
from scheduling.core.usage.life import life_line
from scheduling.core.usage.plausible import use_ceiling
from scheduling.core.usage.plausible_chain import largest_chain
from scheduling.core.usage.reading_arrays import Readings, Swaps


class CleaningReason(IntEnum):
    """Why a reading counts or does not."""

    FINE = 0
    IMPOSSIBLE = 1  # not a number, infinite or below zero
    BACKWARDS = 2  # below a reading that is believed and came earlier
    TOO_FAST = 3  # more use than the ceiling allows, or more than a later reading shows
    UNCONFIRMED = 4  # the last one, and it does not fit: a second reading will tell


@dataclass(frozen=True)
class Cleaned:
    """Readings judged one by one, and the life line of each machine.

    Attributes:
        life: of each reading, use since the machine's first reading that counts, in the meter's
            unit; NaN if it does not count; shape (n,), in the order the readings were given.
        accepted: the reading counts; shape (n,).
        reason: a `CleaningReason` for each reading; shape (n,).
        swap_suspected: from the reading before to this one the meter must have been changed
            without record; shape (n,).
        machine, day, value: the points of the life line (readings that count, and swaps on
            record), sorted by machine and day; shape (p,).
        points_life: life at each point; shape (p,).
        known: the use from the point before is known (False for a machine's first point and
            after an unrecorded swap); shape (p,).
        last: row of each machine's last trusted point, -1 for none; shape (m,).
        first: row of each machine's first point, -1 for none; shape (m,).
        ceiling: the fastest use that was believed, units per day; shape (m,).

    """

    life: Floats
    accepted: Flags
    reason: Ints
    swap_suspected: Flags
    machine: Ints
    day: Floats
    value: Floats
    points_life: Floats
    known: Flags
    last: Ints
    first: Ints
    ceiling: Floats

    @property
    def n_machines(self) -> int:
        """Number of machines, with or without readings: m of the shapes above."""
        return self.last.size

    def pick(self, points: Floats, rows: Ints) -> Floats:
        """Pick a point array at one row a machine; NaN where the row is -1; shape (m,)."""
        picked = np.full(self.n_machines, np.nan)
        has = rows >= 0
        picked[has] = points[rows[has]]
        return picked

    @property
    def first_day(self) -> Floats:
        """Day of each machine's first reading that counts; NaN for none; shape (m,)."""
        return self.pick(self.day, self.first)

    @property
    def last_day(self) -> Floats:
        """Day of each machine's last trusted reading; NaN for none; shape (m,)."""
        return self.pick(self.day, self.last)

    @property
    def last_value(self) -> Floats:
        """What the meter showed then, on the meter that is fitted now; NaN for none; shape (m,)."""
        return self.pick(self.value, self.last)

    @property
    def last_life(self) -> Floats:
        """Life at the last trusted reading; NaN for none; shape (m,)."""
        return self.pick(self.points_life, self.last)


@dataclass(frozen=True)
class _Rows:
    """Readings and both sides of each swap as rows, sorted by machine, stretch, day and value."""

    machine: Ints
    stretch: Ints
    day: Floats
    value: Floats
    source: Ints  # row of the reading, -1 for a side of a swap
    side: Ints  # 0 reading, 1 old meter's last value, 2 new meter's first


def clean(
    readings: Readings, swaps: Swaps, n_machines: int, ceiling: float | Floats | None = None
) -> Cleaned:
    """Judge every reading and draw the life line of each machine.

    Args:
        readings: as typed, in any order.
        swaps: the swaps on record.
        n_machines: m; a machine without readings is no error.
        ceiling: fastest use believed, units per day, one or one a machine; by default learnt
            from the readings given (`use_ceiling`).

    Raises:
        ValueError: a machine index or a day that cannot be.

    """
    seen, changed = readings.checked(n_machines), swaps.checked(n_machines)
    rows = _rows(seen, changed)
    # by stretch, not by machine: the step to a new meter's first value is no use
    if ceiling is None:
        ceiling = use_ceiling(rows.stretch, rows.day, rows.value)
    limit = np.broadcast_to(np.asarray(ceiling, dtype=np.float64), (n_machines,))
    kept, broken = largest_chain(rows.stretch, rows.day, rows.value, limit[rows.machine])
    return _judged(seen, rows, (kept, broken), limit)


def _rows(seen: Readings, changed: Swaps) -> _Rows:
    """Cut the readings into stretches; values that cannot be are left out."""
    usable = np.flatnonzero(np.isfinite(seen.value) & (seen.value >= 0))
    rank = _swap_rank(changed.machine)
    number = _swaps_before(seen, changed)[usable]
    machine = np.concatenate([seen.machine[usable], changed.machine, changed.machine])
    within = np.concatenate([number, rank, rank + 1])
    day = np.concatenate([seen.day[usable], changed.day, changed.day])
    value = np.concatenate([seen.value[usable], changed.old_last, changed.new_first])
    none = np.full(changed.day.size, -1, dtype=np.int64)
    source = np.concatenate([usable, none, none])
    side = np.repeat([0, 1, 2], [usable.size, none.size, none.size])
    # of two readings at one moment the lower comes first, since a meter only goes up
    order = np.lexsort((value, day, within, machine))
    order = order[np.isfinite(value[order]) & (value[order] >= 0)]
    parts = (machine[order], within[order])
    fresh = np.ones(order.size, dtype=np.bool_)
    fresh[1:] = (parts[0][1:] != parts[0][:-1]) | (parts[1][1:] != parts[1][:-1])
    stretch = np.cumsum(fresh) - 1
    return _Rows(parts[0], stretch, day[order], value[order], source[order], side[order])


def _swap_rank(machine: Ints) -> Ints:
    """Number each machine's swaps 0, 1, 2 ... in time; machines sorted."""
    return np.arange(machine.size) - np.searchsorted(machine, machine, side="left")


def _swaps_before(seen: Readings, changed: Swaps) -> Ints:
    """Count the swaps before each reading; at the very moment of one, the nearer value decides."""
    count = np.zeros(seen.day.size, dtype=np.int64)
    if not changed.day.size:
        return count
    # A machine's swaps may be counted in one search if day and machine form one growing key.
    low = min(seen.day.min(initial=np.inf), changed.day.min())
    span = max(seen.day.max(initial=-np.inf), changed.day.max()) - low + 1.0
    key = changed.machine * span + (changed.day - low)
    upto = np.searchsorted(key, seen.machine * span + (seen.day - low), side="right")
    count = upto - np.searchsorted(changed.machine, seen.machine, side="left")
    same = np.flatnonzero(count > 0)
    # who reads a meter at its swap may have read the old one or the new one
    at = upto[same] - 1
    moment = changed.day[at] == seen.day[same]
    to_old = np.abs(seen.value[same] - changed.old_last[at])
    to_new = np.abs(seen.value[same] - changed.new_first[at])
    count[same[moment & (to_old < to_new)]] -= 1
    return count


def _judged(seen: Readings, rows: _Rows, chain: tuple[Flags, Flags], limit: Floats) -> Cleaned:
    """Put the judgement back into the order of the readings."""
    kept, broken = chain
    at = np.flatnonzero(kept)
    machine, day, value = rows.machine[at], rows.day[at], rows.value[at]
    step, known = _steps(rows, at, broken)
    life = life_line(machine, day, step, known)
    n = seen.day.size
    reading_life = np.full(n, np.nan)
    suspected = np.zeros(n, dtype=np.bool_)
    real = rows.source[at] >= 0
    reading_life[rows.source[at][real]] = life[real]
    suspected[rows.source[at][real]] = broken[at][real]
    ends = np.arange(limit.size)
    first = np.searchsorted(machine, ends, side="left")
    after = np.searchsorted(machine, ends, side="right")
    return Cleaned(
        life=reading_life,
        accepted=np.isfinite(reading_life),
        reason=_reasons(seen, rows, kept, limit.size),
        swap_suspected=suspected,
        machine=machine,
        day=day,
        value=value,
        points_life=life,
        known=known,
        last=np.where(after > first, after - 1, -1),
        first=np.where(after > first, first, -1),
        ceiling=limit.copy(),
    )


def _steps(rows: _Rows, at: Ints, broken: Flags) -> tuple[Floats, Flags]:
    """Return the use from the kept row before to each kept row `at`, and whether it is known.

    Known are steps on one meter, and the step of nothing from a recorded swap's old last value
    to its new first one.
    """
    value, side = rows.value[at], rows.side[at]
    before = previous_in_run(rows.machine[at])
    same_meter = (rows.stretch[at] == rows.stretch[at][before]) & ~broken[at]
    swapped = (side == 2) & (side[before] == 1) & (rows.day[at] == rows.day[at][before])
    step = np.where(swapped, 0.0, value - value[before])
    return step, (before >= 0) & (same_meter | swapped)


def _reasons(seen: Readings, rows: _Rows, kept: Flags, n_machines: int) -> Ints:
    """Name a `CleaningReason` for every reading; shape (n,)."""
    place = np.arange(rows.day.size)
    earlier = np.maximum.accumulate(np.where(kept, place, -1))
    same = (earlier >= 0) & (rows.stretch[earlier] == rows.stretch)
    below = same & (rows.value < rows.value[earlier])
    newest = np.full(n_machines, -1)
    newest[rows.machine[kept]] = place[kept]
    later = newest[rows.machine] > place
    # whether a misfit is a typo or news can be told only by a reading after it
    reason = np.where(below, CleaningReason.BACKWARDS, CleaningReason.TOO_FAST)
    reason = np.where(later, reason, CleaningReason.UNCONFIRMED)
    reason = np.where(kept, CleaningReason.FINE, reason)
    result = np.full(seen.day.size, int(CleaningReason.IMPOSSIBLE))
    real = rows.source >= 0
    result[rows.source[real]] = reason[real]
    return result
