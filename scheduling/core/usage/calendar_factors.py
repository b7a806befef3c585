"""Weekdays and seasons, learnt from use and drawn to flat; storage; what the owner states.

An interval says how much was used, not on which of its days. With n_jc days of kind c (a weekday,
or a month) in interval j of a machine with rate r, use is taken as Poisson-like with mean
r Σ_c n_jc w_c, and the weights follow from the EM algorithm for such sums (L. A. Shepp and
Y. Vardi, IEEE Trans. Medical Imaging 1, 1982):

    w_c ← (Σ_j x_j n_jc w_c / Σ_k n_jk w_k  +  K) / (Σ_j r n_jc  +  K),

K days of flat use mixed in. Long intervals tell nothing of weekdays and leave w flat. One year of
readings cannot tell a season from growth, so months count only from the second year on.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from scheduling.core.usage.day_weights import DayWeights
from scheduling.core.usage.flat_arrays import Floats, Ints
from scheduling.core.usage.use_between_readings import UseIntervals

FLAT_DAYS = 60.0
"""K: days of flat use mixed into each weekday's or month's weight."""

ROUNDS = 30
"""Rounds of EM; stopping early leans to flat."""

YEAR = 365.0
"""Days of readings that say nothing of seasons; twice as many say all they can."""


@dataclass(frozen=True)
class StoredDays:
    """Days on which machines are put away; arrays of shape (s,).

    Attributes:
        machine: index of the machine.
        first, last: first and last day away, whole days since 1970-01-01.

    """

    machine: Ints
    first: Ints
    last: Ints


@dataclass(frozen=True)
class CalendarFactors:
    """What a day may bring beside a usual one.

    Attributes:
        weekday: Monday first, shape (7,); mean 1.
        month: January first, for each group, shape (groups, 12); mean 1.

    """

    weekday: Floats
    month: Floats

    @classmethod
    def flat(cls, n_groups: int) -> "CalendarFactors":
        """Return factors that make all days alike."""
        return cls(np.ones(7), np.ones((n_groups, 12)))


def weekday_of(day: Ints) -> Ints:
    """Return the weekday of each day, Monday 0 (1970-01-01 was a Thursday)."""
    return (np.asarray(day, dtype=np.int64) + 3) % 7


def month_of(day: Ints) -> Ints:
    """Return the month of each day, January 0."""
    # months since January 1970, so the remainder is the month of the year
    months = np.asarray(day, dtype=np.int64).astype("datetime64[D]").astype("datetime64[M]")
    return months.astype(np.int64) % 12


def learn_calendar(intervals: UseIntervals, group: Ints) -> CalendarFactors:
    """Learn weekday factors of a fleet and month factors of its groups.

    Sums over days are shared out by EM as in Shepp and Vardi 1982, doi:10.1109/TMI.1982.4307558.

    Args:
        intervals: known use of m machines.
        group: index of each machine's group, shape (m,).

    """
    n_groups = int(group.max(initial=0)) + 1
    if not intervals.use.sum() > 0:
        return CalendarFactors.flat(n_groups)
    weekday = _factors(intervals, weekday_of, 7)
    month = np.ones((n_groups, 12))
    for g in range(n_groups):
        own = intervals.where(group[intervals.machine] == g)
        if own.use.sum() > 0:
            # as a power: between one year and two the factors grow from flat to what was found, and
            # a factor and its inverse grow alike
            trust = np.clip((np.ptp(np.r_[own.start, own.end]) - YEAR) / YEAR, 0.0, 1.0)
            month[g] = _factors(own, month_of, 12) ** trust
    return CalendarFactors(weekday, month)


def _factors(intervals: UseIntervals, kind_of: Callable[[Ints], Ints], kinds: int) -> Floats:
    """Return the weights of the kinds of day by EM, shape (kinds,), mean 1."""
    m = intervals.n_machines
    total = np.bincount(intervals.machine, intervals.use, m)
    days = np.bincount(intervals.machine, intervals.end - intervals.start, m)
    rate = np.divide(total, days, out=np.zeros(m), where=days > 0)
    # Each machine weighs by its days, not by its hours: use is counted in days at its own rate.
    ran = rate[intervals.machine] > 0
    kept = intervals.where(ran)
    use = kept.use / rate[kept.machine]
    count = _days_by_kind(kept, kind_of, kinds)
    weight = np.ones(kinds)
    # FLAT_DAYS in both places: a kind of day hardly seen stays near 1 instead of jumping to 0 or 7
    for _ in range(ROUNDS):
        part = count * weight
        found = (use / part.sum(axis=1)) @ part
        weight = (found + FLAT_DAYS) / (count.sum(axis=0) + FLAT_DAYS)
    return weight / weight.mean()


def _days_by_kind(intervals: UseIntervals, kind_of: Callable[[Ints], Ints], kinds: int) -> Floats:
    """Return the days of each kind in each interval, shape (k, kinds)."""
    first = int(np.floor(intervals.start.min()))
    days = np.arange(first, int(np.ceil(intervals.end.max())) + 1)
    table = np.zeros((days.size + 1, kinds))
    table[np.arange(days.size) + 1, kind_of(days)] = 1.0
    # running totals of each kind, so that an interval costs two look-ups however long it is
    table = np.cumsum(table, axis=0)

    def upto(moment: Floats) -> Floats:
        whole = np.floor(moment - first).astype(np.int64)
        part = (moment - first - whole)[:, None]
        return table[whole] + part * (table[whole + 1] - table[whole])

    return upto(intervals.end) - upto(intervals.start)


def calendar_weights(
    factors: CalendarFactors,
    group: Ints,
    first_day: int,
    days: int,
    stored: StoredDays | None = None,
) -> DayWeights:
    """Return the day weights of m machines: weekday times month, 0 in storage.

    Args:
        factors: learnt, stated by the owner, or the product of both.
        group: index of each machine's group, shape (m,).
        first_day: first day weighed, days since 1970-01-01.
        days: number of days weighed.
        stored: when machines are put away.

    """
    day = first_day + np.arange(days)
    of_group = factors.weekday[weekday_of(day)] * factors.month[:, month_of(day)]
    weight = of_group[group]
    # a storage that began before the first day weighed, or ended before it, must not reach round
    # to the end of the row, as a negative index would
    if stored is not None:
        for machine, start, end in zip(stored.machine, stored.first, stored.last, strict=True):
            weight[machine, max(start - first_day, 0) : max(end - first_day + 1, 0)] = 0.0
    return DayWeights(first_day, weight)
