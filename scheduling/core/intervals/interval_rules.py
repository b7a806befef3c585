"""What is known of each line before anything is worked out: its rules and its services.

A *line* is one machine under one interval. Every array has one entry a line, (n,); a scalar stands
for the same value on all lines.
"""

from dataclasses import dataclass, field

import numpy as np

from scheduling.core.intervals.anchors import AnchorRule
from scheduling.core.intervals.line_arrays import Bools, Days, Floats, Ints, filled, refuse, spread

# February has 29 here: a season of 29 February is asked for as the last day of that month
_LONGEST_MONTH = np.array([31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])


_UNKNOWN = filled(np.nan, np.float64)
_ONE = filled(1.0, np.float64)
_NONE = filled(0, np.int64)
_NO_WINDOW = filled(0.0, np.float64)
_NO_DAY = filled("NaT", "datetime64[D]")
_PLAIN = filled(AnchorRule.FROM_SERVICE, np.int64)
_NO = filled(False, np.bool_)


@dataclass(frozen=True)
class MeterRules:
    """The meter side of each line, in the meter's unit (hours, metres or cycles).

    every: the interval; NaN where the line has no meter side.
    first_at: a different first interval, counted from ``start``; NaN where there is none.
    early, late: the window around a due point (see ``allowance``).
    anchor: an ``AnchorRule``.
    start: life at the machine's start; NaN if unknown.
    duty: factor on every and first_at for hard use (0.5 in dust: twice as often). On a hard line
    it may shorten but never stretch.
    hard: a due point that law or standard sets.

    An ``every``, ``first_at`` or ``duty`` that is not above 0 and a negative window raise
    ValueError with the line and the value.
    """

    every: Floats
    first_at: Floats = field(default_factory=_UNKNOWN)
    early: Floats = field(default_factory=_NO_WINDOW)
    late: Floats = field(default_factory=_NO_WINDOW)
    anchor: Ints = field(default_factory=_PLAIN)
    start: Floats = field(default_factory=_UNKNOWN)
    duty: Floats = field(default_factory=_ONE)
    hard: Bools = field(default_factory=_NO)

    def __post_init__(self) -> None:
        # NaN stands for absent, so it passes each check below but that of duty and windows, which
        # every line has
        numbers = ("every", "first_at", "early", "late", "start", "duty")
        spread(self, {**dict.fromkeys(numbers, np.float64), "anchor": np.int64, "hard": np.bool_})
        for name in ("every", "first_at"):
            value = getattr(self, name)
            never = ~np.isnan(value) & ~((value > 0) & np.isfinite(value))
            refuse(never, value, name + " of {:g} on the meter cannot be met; it must be above 0")
        refuse(~(self.duty > 0), self.duty, "a duty factor of {:g} must be above 0; 1 is normal")
        _refuse_windows(self)


@dataclass(frozen=True)
class CalendarRules:
    """The calendar side of each line. Whole numbers, 0 where there is none.

    months, days: the interval, one of the two. Months keep the original day of the month.
    season_month, season_day: a date by which it is done each year; 29 Feb means the last day of
    February. A season stands beside months or days; the first to come is due.
    first_months, first_days: a different first interval, counted from ``start``.
    early, late: the window in whole days (see ``allowance_days``).
    anchor: an ``AnchorRule``; a season has its own fixed grid.
    start: the machine's start, datetime64[D]; NaT if unknown.
    end_of_month: a due day runs to the last day of its month, 14 CFR 91.409(a)(1).
    hard: a due point that law or standard sets.

    Negative numbers, months and days together, and a season that no year has raise ValueError
    with the line and the value.
    """

    months: Ints = field(default_factory=_NONE)
    days: Ints = field(default_factory=_NONE)
    season_month: Ints = field(default_factory=_NONE)
    season_day: Ints = field(default_factory=_NONE)
    first_months: Ints = field(default_factory=_NONE)
    first_days: Ints = field(default_factory=_NONE)
    early: Ints = field(default_factory=_NONE)
    late: Ints = field(default_factory=_NONE)
    anchor: Ints = field(default_factory=_PLAIN)
    start: Days = field(default_factory=_NO_DAY)
    end_of_month: Bools = field(default_factory=_NO)
    hard: Bools = field(default_factory=_NO)

    def __post_init__(self) -> None:
        lengths = ("months", "days", "first_months", "first_days")
        numbers = (*lengths, "season_month", "season_day", "early", "late", "anchor")
        flags = dict.fromkeys(("end_of_month", "hard"), np.bool_)
        spread(self, {**dict.fromkeys(numbers, np.int64), "start": "datetime64[D]", **flags})
        for name in lengths:
            value = getattr(self, name)
            refuse(value < 0, value, name + " of {} on the calendar cannot be met; give 1 or more")
        # which is added first would move the date (30 Jan + 1 month + 2 days is 2 Mar, the other
        # way round 1 Mar), and no source says
        both = (self.months > 0) & (self.days > 0)
        refuse(both, self.months, "{} months together with days; give months or days, not both")
        _refuse_seasons(self)
        _refuse_windows(self)


@dataclass(frozen=True)
class ServicesDone:
    """What was done: one entry a service of a line, flat arrays (m,).

    line: index of the line; day: datetime64[D], NaT if unknown; life: the machine's life on the
    line's meter at the service, NaN if unknown. A service without a life moves only the calendar
    side, one without a day only the meter side, one with neither says nothing.
    """

    line: Ints
    day: Days
    life: Floats

    def __post_init__(self) -> None:
        spread(self, {"line": np.int64, "day": "datetime64[D]", "life": np.float64})

    @classmethod
    def none(cls) -> "ServicesDone":
        """Return an empty book, shape (0,)."""
        empty = np.empty(0)
        return cls(empty.astype(np.int64), empty.astype("datetime64[D]"), empty)


def _refuse_windows(rules: MeterRules | CalendarRules) -> None:
    for name in ("early", "late"):
        value = getattr(rules, name)
        refuse(~(value >= 0), value, name + " {} is not a window; give 0 or more")
    # a number that is no member would meet no rule in the fold, and so restart every grid unseen
    known = np.isin(rules.anchor, list(AnchorRule))
    refuse(~known, rules.anchor, "anchor {} is not one of 0 to 3")


def _refuse_seasons(rules: CalendarRules) -> None:
    month, day = rules.season_month, rules.season_day
    refuse((month < 0) | (month > 12), month, "season month {} must be 1 to 12, or 0 for none")
    longest = _LONGEST_MONTH[np.maximum(month, 1) - 1]
    wrong = np.where(month > 0, (day < 1) | (day > longest), day != 0)
    refuse(wrong, day, "season day {} is not a day of its month")
