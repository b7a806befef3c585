"""The two sides of an interval, meter and calendar, as grids of due points.

A grid starts at an ``origin``. Its first point lies one ``lead`` later (``every``, or ``first_at``
when it starts at the machine's start), and each further point one ``every`` after that:

    point(k) = origin + lead + k every,   k = 0, 1, 2 ...

Points are always counted from the origin, never from one another, so tenths do not add up to an
error and 31 Jan, 28 Feb is followed by 31 Mar.

The window shrinks with the interval: where a duty factor or a first interval makes the interval in
force shorter than ``every``, early and late shrink by the same ratio (common practice: a window of
25 h around a break-in at 20 h would open before the machine has run). It never widens.
"""

from dataclasses import dataclass, fields
from typing import Protocol, Self

import numpy as np

from scheduling.core.intervals.interval_rules import CalendarRules, MeterRules
from scheduling.core.intervals.line_arrays import SLACK, Bools, Days, Floats, Ints, Points
from scheduling.core.intervals.month_arithmetic import (
    add_months,
    day_of_month,
    end_of_month,
    months_between,
)
from scheduling.core.intervals.track import Track
from scheduling.core.intervals.windows import nominal_length


class Side(Protocol):
    """What the fold needs of a side; arrays (n,), one entry a line."""

    @property
    def anchor(self) -> Ints:
        """An ``AnchorRule`` a line, shape (n,)."""

    @property
    def start(self) -> Points:
        """The machine's start, NaN or NaT if unknown, shape (n,)."""

    @property
    def has_first(self) -> Bools:
        """Whether the first interval differs from the others, shape (n,)."""

    @property
    def slack(self) -> float | np.timedelta64:
        """Difference below which two points are the same, in the side's unit."""

    def take(self, lines: Ints) -> Self:
        """Return the side of these lines alone; lines: indices of shape (k,)."""

    def point(self, origin: Points, on_first: Bools, steps: Ints) -> Points:
        """Return point ``steps`` of the grid that starts at ``origin``, shape (n,)."""

    def steps_past(self, track: Track, at: Points) -> Ints:
        """Return the first step after the track's whose point lies after ``at``, shape (n,)."""

    def window(self, on_first: Bools) -> tuple[Points, Points]:
        """Return the early and late allowance around the point in force, shape (n,) each."""


class _Lines:
    def take(self, lines: Ints) -> Self:
        """Return the side of these lines alone; lines: indices of shape (k,)."""
        parts = {f.name: getattr(self, f.name)[lines] for f in fields(self)}  # type: ignore[arg-type]
        return type(self)(**parts)


@dataclass(frozen=True)
class MeterSide(_Lines):
    """Due points on a meter; all float arrays (n,) in the meter's unit."""

    every: Floats
    first: Floats
    early: Floats
    late: Floats
    nominal: Floats
    anchor: Ints
    start: Floats

    @classmethod
    def of(cls, rules: MeterRules) -> "MeterSide":
        """Return the side that these rules make in the meter's unit, duty factor applied."""
        # easy work must not put off what law or standard sets
        duty = np.where(rules.hard, np.minimum(rules.duty, 1.0), rules.duty)
        every, first = rules.every * duty, rules.first_at * duty
        # a side that is only a first point has no every to compare its window with
        nominal = np.where(np.isnan(every), rules.first_at, rules.every)
        return cls(every, first, rules.early, rules.late, nominal, rules.anchor, rules.start)

    @property
    def slack(self) -> float:
        """Rounding allowed for on a meter, in its unit."""
        return SLACK

    @property
    def has_first(self) -> Bools:
        """Whether the first interval differs from the others, shape (n,)."""
        return ~np.isnan(self.first)

    @property
    def present(self) -> Bools:
        """Whether the line has a meter side, shape (n,)."""
        return self.has_first | self.recurs

    @property
    def recurs(self) -> Bools:
        """Whether the side goes on after its first point, shape (n,)."""
        return ~np.isnan(self.every)

    def point(self, origin: Floats, on_first: Bools, steps: Ints) -> Floats:
        """Return point ``steps`` of the grid that starts at ``origin``, shape (n,)."""
        # 0 steps of an every that is not there is 0, not NaN
        further = np.where(steps > 0, steps * self.every, 0.0)
        return origin + np.where(on_first, self.first, self.every) + further

    def steps_past(self, track: Track, at: Floats) -> Ints:
        """Return the first step after the track's whose point lies after ``at``, shape (n,)."""
        # a service a rounding short of a point has met that point
        gap = (at - track.due + self.slack) / self.every
        # every is NaN on a side that is only a first point; it goes one step on, to no point at all
        further = np.floor(np.nan_to_num(gap)).astype(np.int64) + 1
        return track.steps + np.maximum(further, 1)

    def window(self, on_first: Bools) -> tuple[Floats, Floats]:
        """Return the early and late allowance around the point in force, shape (n,) each."""
        in_force = np.where(on_first, self.first, self.every)
        # nominal is without the duty factor, so that a hard life narrows the window as well
        share = np.minimum(in_force / self.nominal, 1.0)
        return self.early * share, self.late * share


@dataclass(frozen=True)
class CalendarSide(_Lines):
    """Due days, without seasons; int arrays (n,) of months and days, 0 where absent."""

    months: Ints
    days: Ints
    first_months: Ints
    first_days: Ints
    early: Ints
    late: Ints
    anchor: Ints
    start: Days
    end_of_month: Bools

    @classmethod
    def of(cls, rules: CalendarRules) -> "CalendarSide":
        """Return the side that these rules make, in months and days."""
        names = [f.name for f in fields(cls)]
        return cls(**{name: getattr(rules, name) for name in names})

    @property
    def slack(self) -> np.timedelta64:
        """Days are whole: none."""
        return np.timedelta64(0, "D")

    @property
    def has_first(self) -> Bools:
        """Whether the first interval differs from the others, shape (n,)."""
        return (self.first_months > 0) | (self.first_days > 0)

    @property
    def present(self) -> Bools:
        """Whether the line has months or days, shape (n,)."""
        return self.has_first | self.recurs

    @property
    def recurs(self) -> Bools:
        """Whether the side goes on after its first point, shape (n,)."""
        return (self.months > 0) | (self.days > 0)

    def point(self, origin: Days, on_first: Bools, steps: Ints) -> Days:
        """Return point ``steps`` of the grid that starts at ``origin``, shape (n,)."""
        months = np.where(on_first, self.first_months, self.months) + steps * self.months
        days = np.where(on_first, self.first_days, self.days) + steps * self.days
        due = add_months(origin, months, day_of_month(origin)) + days.astype("timedelta64[D]")
        # few rules run to the month's end, and the arithmetic of months is most of the cost here
        if self.end_of_month.any():
            due = np.where(self.end_of_month, end_of_month(due), due)
        return np.where(on_first | self.recurs, due, np.datetime64("NaT", "D"))

    def steps_past(self, track: Track, at: Days) -> Ints:
        """Return the first step after the track's whose point lies after ``at``, shape (n,)."""
        gap = at - track.due
        whole_days = np.where(np.isnat(gap), 0, gap.astype(np.int64)) // np.maximum(self.days, 1)
        whole_months = months_between(track.due, at) // np.maximum(self.months, 1)
        further = np.maximum(np.where(self.months > 0, whole_months, whole_days), 1)
        # the point in the month of `at` may still lie before it, or on it
        steps = track.steps + further
        return steps + (self.point(track.origin, track.on_first, steps) <= at)

    def window(self, on_first: Bools) -> tuple[Points, Points]:
        """Return the early and late allowance around the point in force, whole days, shape (n,)."""
        # nominal days, since months of different lengths must not give windows of different widths
        nominal = np.maximum(nominal_length(self.months, self.days), 1)
        first = nominal_length(self.first_months, self.first_days)
        shorter = on_first & self.recurs & (first < nominal)
        early = np.where(shorter, self.early * first // nominal, self.early)
        late = np.where(shorter, self.late * first // nominal, self.late)
        return early.astype("timedelta64[D]"), late.astype("timedelta64[D]")
