"""Weekdays and seasons, learnt from use and drawn to flat; storage; what the owner states.

An interval says how much was used, not on which of its days. With n_jc days of kind c (a weekday,
or a month) in interval j of a machine with rate r, use is taken as Poisson-like with mean
r Σ_c n_jc w_c, and the weights follow from the EM algorithm for such sums (L. A. Shepp and
Y. Vardi, IEEE Trans. Medical Imaging 1, 1982):

    w_c ← (Σ_j x_j n_jc w_c / Σ_k n_jk w_k  +  K) / (Σ_j r n_jc  +  K),

K days of flat use mixed in, and each machine's rate drawn anew from its use over its weighted days.
Long intervals tell nothing of weekdays and leave w flat. One year of readings cannot tell a season
from growth, so months count only from the second year on, and only as far as what the second year
has brought so far speaks for them: of w^t, t from 0 to 1, that one is taken which, learnt from the
first year alone, would have told the use of the rest with the least squared error.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from scheduling.core.usage.common_swings import LEAST_MACHINES, common_swings
from scheduling.core.usage.day_weights import DayWeights
from scheduling.core.usage.flat_arrays import Floats, Ints
from scheduling.core.usage.rates import observed_lump
from scheduling.core.usage.use_between_readings import UseIntervals

FLAT_DAYS = 60.0
"""K: days of flat use mixed into each weekday's weight, and each month's of a few machines."""

LEAST_FLAT, MOST_FLAT = 5.0, 2000.0
"""Bounds of K for months, choices."""

ROUNDS = 30
"""Rounds of EM; stopping early leans to flat."""

YEAR = 365.0
"""Days of readings that say nothing of seasons."""

GROWING_IN = 31.0
"""Days after the first year over which months grow in: a month is then seen a second time, which a
season brings back and growth does not. A choice."""

STRENGTHS = np.linspace(1.0, 0.0, 5)
"""The powers t tried on what the second year has brought; the first of equals is taken."""


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
            flat = _flat_days(own)
            month[g] = _factors(own, month_of, 12, flat) ** _month_strength(own, flat)
    return CalendarFactors(weekday, month)


def _flat_days(own: UseIntervals) -> float:
    """Return K for a group's months: what one day of use is unsure by, over how far months differ.

    A month of N days is off by φ/N by chance, and the months by s² (`common_swings`): the mean of
    both is right with K = φ/s² days of flat use (empirical Bayes; B. Efron and C. Morris, JASA 70,
    1975, 311-319, doi:10.1080/01621459.1975.10479864). A fleet without a season is all but flat.
    """
    together = np.zeros(own.n_machines, dtype=np.int64)
    if np.unique(own.machine).size < LEAST_MACHINES:
        return FLAT_DAYS
    lump, worth = observed_lump(own, together, float(own.end.max()))
    swing = common_swings(own, together)
    if not worth > 0:
        return FLAT_DAYS
    return float(np.clip(lump / max(swing, 1e-9), LEAST_FLAT, MOST_FLAT))


def _factors(
    intervals: UseIntervals, kind_of: Callable[[Ints], Ints], kinds: int, flat: float = FLAT_DAYS
) -> Floats:
    """Return the weights of the kinds of day by EM, shape (kinds,), mean 1."""
    count = _days_by_kind(intervals, kind_of, kinds)
    weight = np.ones(kinds)
    # flat days in both places: a kind of day hardly seen stays near 1 instead of jumping to 0 or 7
    for _ in range(ROUNDS):
        # each machine weighs by its days, not by its hours: use is counted in days at its own rate
        # beside the weights, or a machine read through one season alone would bend them
        part = count * weight
        expected = part.sum(axis=1)
        rate = _rates(intervals, expected)[intervals.machine]
        ran = rate > 0
        use = np.divide(intervals.use, rate, out=np.zeros(rate.size), where=ran)
        told = np.divide(use, expected, out=np.zeros(rate.size), where=ran & (expected > 0))
        weight = (told @ part + flat) / (ran @ count + flat)
        weight = weight / weight.mean()
    return weight


def _rates(intervals: UseIntervals, days: Floats) -> Floats:
    """Return each machine's use per weighted day, 0 where it never ran; shape (m,)."""
    m = intervals.n_machines
    use, time = (
        np.bincount(intervals.machine, intervals.use, m),
        np.bincount(intervals.machine, days, m),
    )
    return np.divide(use, time, out=np.zeros(m), where=time > 0)


def _month_strength(own: UseIntervals, flat: float) -> float:
    """Return the power t to which a group's months are believed, 0 to 1."""
    begin = float(own.start.min())
    grown = float(np.clip((own.end.max() - begin - YEAR) / GROWING_IN, 0.0, 1.0))
    if grown == 0:
        return 0.0
    first, later = own.where(own.end <= begin + YEAR), own.where(own.start >= begin + YEAR)
    if not (later.use.size and first.use.sum() > 0):
        return grown
    month = _factors(first, month_of, 12, flat)
    learnt, asked = (_days_by_kind(part, month_of, 12) for part in (first, later))
    # month by month: over whole years a season and none come to the same
    since = np.floor((later.start - begin) / GROWING_IN).astype(np.int64)
    cell = later.machine * (int(since.max()) + 1) + since
    loss = []
    for strength in STRENGTHS:
        rate = _rates(first, learnt @ month**strength)
        off = later.use - asked @ month**strength * rate[later.machine]
        loss.append(float((np.bincount(cell, off) ** 2).sum()))
    return grown * float(STRENGTHS[np.argmin(loss)])


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
