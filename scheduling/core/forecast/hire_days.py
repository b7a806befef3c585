"""Bookings as days of more or less use: a machine on hire runs, one in the yard hardly does.

Use on hire and in the yard are two rates, r and ω r, with ω learnt from the fleet. Days are
therefore counted in days of hire, past ones as they were and coming ones as they are expected:

    a past day on hire, or not       κ,  1 − κ       (κ: the records' reliability)
    a coming day booked              η               (η: the chance that a promise is kept)
    a coming day open, at lead l     ρ (1 − f)/(1 − f ρ)

with ρ the machine's share of days on hire and f(l) the part of the hires at lead l that the fleet
has booked by now; the last line is Bayes' rule for "on hire" given "not booked yet". A day that
is on hire with chance h then weighs (h + ω(1 − h))/(ρ̄ + ω(1 − ρ̄)), ρ̄ the fleet's share, so that
weights are 1 on average and rates stay rates per usual day. (Own derivation; the numbers κ, η
are common practice.)
"""

from dataclasses import dataclass

import numpy as np

from scheduling.core.forecast.day_clock import HORIZON
from scheduling.core.usage import DayWeights, Flags, Floats, Ints, UseIntervals

LOOK_BACK = 90
"""Days before the origin over which the share on hire is counted."""

HISTORY = 240
"""Days before the origin whose hires weigh the use of the time; what is older counts as usual."""

SHRINK_DAYS = 45.0
"""Days of the fleet's share on hire mixed into each machine's: hires of a quarter are few, and a
machine that stood is let again. In `forecast_benchmark --bookings` twice as many make the loss 2 %
larger, half as many 1 % smaller; but bookings there are made from true use, and so say more."""

LESS_LUMPY = 0.75
"""Lumps of use in days of hire, as a part of those in calendar days: the hires themselves are most
of the lumps, and they are known (chosen with the defaults of the law, on the same plateau). In
`forecast_benchmark --bookings` the loss is as small without it, but ranges meant to cover 80 % then
cover 84 %; with 0.5 they cover 77 %."""

HONOUR = 0.92
"""η: chance that a booked day brings a day of hire."""

RECORDED = 0.97
"""κ: chance that a past day was what the bookings say."""

MOST_BOOKED = 0.98
"""Largest part of the hires of a day that may be taken to be booked already."""

SMOOTH_DAYS = 7
"""Leads over which the booked part is smoothed."""

YARD_USE, YARD_DAYS = 0.1, 30.0
"""Use in the yard before anything is known, as a part of use on hire, and its worth in days."""


@dataclass(frozen=True)
class Hires:
    """Days promised or given to customers; arrays of shape (b,), in any order.

    Attributes:
        machine: index of the machine.
        first, last: first and last day out, whole days since 1970-01-01, last ≥ first.
        covered: the machine's hires are kept here at all, shape (m,).
        said: use a day that the customer said, in the meter's unit, NaN where nothing was said,
            shape (b,); None where nothing was said of any.

    """

    machine: Ints
    first: Ints
    last: Ints
    covered: Flags
    said: Floats | None = None

    def __post_init__(self) -> None:
        wrong = np.flatnonzero(self.last < self.first)
        if wrong.size:
            at = wrong[0]
            raise ValueError(
                f"A booking of machine {self.machine[at]} ends on day {self.last[at]}, "
                f"before it begins on day {self.first[at]}."
            )

    def out(self, first_day: int, days: int) -> Flags:
        """Return whether each machine is out on each day from first_day on, shape (m, days)."""
        # int16 holds more bookings at a time than any machine has, at a quarter of the memory
        edge = np.zeros((self.covered.size, days + 1), dtype=np.int16)
        start = np.clip(self.first - first_day, 0, days)
        end = np.clip(self.last - first_day + 1, 0, days)
        np.add.at(edge, (self.machine, start), 1)
        np.add.at(edge, (self.machine, end), -1)
        return np.cumsum(edge, axis=1, dtype=np.int16)[:, :days] > 0

    def past_share(self, origin: float) -> Floats:
        """Return each machine's share of the last 90 days on hire, shape (m,)."""
        return self.out(int(np.floor(origin)) - LOOK_BACK, LOOK_BACK).mean(axis=1)


@dataclass(frozen=True)
class HireHabits:
    """What a fleet teaches about hires.

    Attributes:
        share: ρ̄, share of the past days on hire, over all covered machines.
        booked: f(l), part of the hires at a lead of l days that are booked by now, for
            l = 0..HORIZON.
        yard_use: ω, use of a day in the yard as a part of a day on hire.

    """

    share: float
    booked: Floats
    yard_use: float


def hire_habits(hires: Hires, intervals: UseIntervals, origin: float) -> HireHabits:
    """Learn the share on hire, how far ahead the fleet is booked, and the use in the yard.

    Args:
        hires: bookings known at the origin.
        intervals: known use of the machines.
        origin: start of today, days since 1970-01-01.

    """
    today = int(np.floor(origin))
    out = hires.out(today - LOOK_BACK, LOOK_BACK + HORIZON + 1)[hires.covered]
    if not out[:, :LOOK_BACK].any():
        return HireHabits(0.0, np.zeros(HORIZON + 1), YARD_USE)
    # what is booked for a coming day, beside what days like it came to in the end
    share = float(out[:, :LOOK_BACK].mean())
    part = np.clip(out[:, LOOK_BACK:].mean(axis=0) / share, 0.0, MOST_BOOKED)
    return HireHabits(share, _smoothed(part), _yard_use(hires, intervals, today))


def _smoothed(part: Floats) -> Floats:
    """Return the mean over SMOOTH_DAYS neighbouring leads; the ends repeat."""
    half = SMOOTH_DAYS // 2
    wide = np.pad(part, half, mode="edge")
    return np.convolve(wide, np.full(SMOOTH_DAYS, 1.0 / SMOOTH_DAYS), mode="valid")


def _yard_use(hires: Hires, intervals: UseIntervals, today: int) -> float:
    """Return ω from the intervals without a day of hire, beside the rate on hire."""
    first = today - HISTORY
    of_covered = hires.covered[intervals.machine] & (intervals.start >= first)
    seen = intervals.where(of_covered & (intervals.end <= today))
    on = DayWeights(first, hires.out(first, HISTORY).astype(np.float32))
    hired = on.between(seen.machine, seen.start, seen.end)
    days = seen.end - seen.start
    # wholly in the yard but for rounding: a mixed interval does not say where its hours were run
    idle = hired < 0.01 * days
    yard_days, hire_days = days[idle].sum(), hired.sum()
    if hire_days <= 0 or seen.use.sum() <= 0:
        return YARD_USE
    usual = seen.use.sum() / hire_days
    yard = (seen.use[idle].sum() + YARD_DAYS * YARD_USE * usual) / (yard_days + YARD_DAYS)
    # what is left of all use after the yard's days is the hires'; where the yard seems to run as
    # much as the hires, bookings tell nothing of use, and all days count alike
    on_hire = (seen.use.sum() - yard * (days - hired).sum()) / hire_days
    return float(np.clip(yard / on_hire, 0.01, 1.0)) if on_hire > yard else 1.0


def hire_share(hires: Hires, habits: HireHabits, origin: float) -> Floats:
    """Return ρ, each machine's share of the last 90 days on hire, drawn to the fleet's; (m,)."""
    own = LOOK_BACK * hires.past_share(origin)
    return (own + SHRINK_DAYS * habits.share) / (LOOK_BACK + SHRINK_DAYS)


def hire_weights(hires: Hires, habits: HireHabits, origin: float) -> DayWeights | None:
    """Return the day weights that follow from the bookings, past and coming.

    Args:
        hires: bookings known at the origin.
        habits: what the fleet teaches.
        origin: start of today, days since 1970-01-01.

    Returns:
        Weights of m machines from HISTORY days ago to the horizon, or None where no machine was
        ever on hire.

    """
    # with no hire in 90 days a booked day has nothing to be measured against
    if habits.share <= 0:
        return None
    today = int(np.floor(origin))
    out = hires.out(today - HISTORY, HISTORY + HORIZON + 1)
    chance = np.empty(out.shape, dtype=np.float32)
    chance[:, :HISTORY] = np.where(out[:, :HISTORY], RECORDED, 1 - RECORDED)
    rho = hire_share(hires, habits, origin)[:, None]
    # an open day soon to come is likelier to stay open than one far ahead, which may still be let
    open_day = rho * (1 - habits.booked) / (1 - habits.booked * rho)
    chance[:, HISTORY:] = np.where(out[:, HISTORY:], HONOUR, open_day)
    yard = habits.yard_use
    weight = (chance + yard * (1 - chance)) / (habits.share + yard * (1 - habits.share))
    # without bookings kept, an empty calendar is no sign of rest
    weight[~hires.covered] = 1.0
    return DayWeights(today - HISTORY, weight)
