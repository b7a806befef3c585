"""Bookings as day weights: a day on hire brings more use than an open day.

A machine's mean rate is a mean over days on hire and days in the yard. With ρ its share of days
on hire and f the part of the hires at a lead of l days that are booked by now,

    weight of a booked day  η/ρ            (η: the chance that a promise is kept)
    weight of an open day   (1 − f)/(1 − f ρ)   (the chance, over ρ, that it is yet to be let)

so that the weights have mean 1 over the hires to come, and use that is not booked yet is not
counted as none. (Bayes' rule on "on hire" given "not booked yet"; own derivation.)
"""

from dataclasses import dataclass

import numpy as np

from scheduling.core.forecast.clock import HORIZON, DayWeights
from scheduling.core.usage.arrays import Flags, Floats, Ints

LOOK_BACK = 90
"""Days before the origin over which the share on hire is counted."""

SHRINK_DAYS = 10.0
"""Days of the fleet's share on hire mixed into each machine's."""

HONOUR = 0.92
"""η: chance that a booked day brings a day of hire."""

MOST_BOOKED = 0.98
"""Largest part of the hires of a day that may be taken to be booked already."""

SMOOTH_DAYS = 7
"""Leads over which the booked part is smoothed."""


@dataclass(frozen=True)
class Hires:
    """Days promised or given to customers; arrays of shape (b,), in any order.

    Attributes:
        machine: index of the machine.
        first, last: first and last day out, whole days since 1970-01-01, last ≥ first.
        covered: the machine's hires are kept here at all, shape (m,).

    """

    machine: Ints
    first: Ints
    last: Ints
    covered: Flags

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
        edge = np.zeros((self.covered.size, days + 1), dtype=np.int32)
        start = np.clip(self.first - first_day, 0, days)
        end = np.clip(self.last - first_day + 1, 0, days)
        np.add.at(edge, (self.machine, start), 1)
        np.add.at(edge, (self.machine, end), -1)
        return np.cumsum(edge, axis=1)[:, :days] > 0


@dataclass(frozen=True)
class HireHabits:
    """What a fleet teaches about hires.

    Attributes:
        share: share of the past days on hire, over all covered machines.
        booked: f(l), part of the hires at a lead of l days that are booked by now, for
            l = 0..HORIZON.

    """

    share: float
    booked: Floats


def hire_habits(hires: Hires, origin: float) -> HireHabits:
    """Learn the share on hire and how far ahead the fleet is booked.

    Args:
        hires: bookings known at the origin.
        origin: start of today, days since 1970-01-01.

    """
    today = int(np.floor(origin))
    out = hires.out(today - LOOK_BACK, LOOK_BACK + HORIZON + 1)[hires.covered]
    if not out.any():
        return HireHabits(0.0, np.zeros(HORIZON + 1))
    share = max(float(out[:, :LOOK_BACK].mean()), 1.0 / (LOOK_BACK + 1))
    part = np.clip(out[:, LOOK_BACK:].mean(axis=0) / share, 0.0, MOST_BOOKED)
    return HireHabits(share, _smoothed(part))


def _smoothed(part: Floats) -> Floats:
    """Return the mean over SMOOTH_DAYS neighbouring leads; the ends repeat."""
    half = SMOOTH_DAYS // 2
    wide = np.pad(part, half, mode="edge")
    return np.convolve(wide, np.full(SMOOTH_DAYS, 1.0 / SMOOTH_DAYS), mode="valid")


def hire_share(hires: Hires, habits: HireHabits, origin: float) -> Floats:
    """Return ρ, each machine's share of the last 90 days on hire, drawn to the fleet's; (m,)."""
    today = int(np.floor(origin))
    out = hires.out(today - LOOK_BACK, LOOK_BACK)
    return (out.sum(axis=1) + SHRINK_DAYS * habits.share) / (LOOK_BACK + SHRINK_DAYS)


def hire_weights(
    hires: Hires, habits: HireHabits, origin: float, since: Floats
) -> DayWeights | None:
    """Return the day weights that follow from the bookings, from the oldest reading on.

    Args:
        hires: bookings known at the origin.
        habits: what the fleet teaches.
        origin: start of today, days since 1970-01-01.
        since: day of each machine's last reading, shape (m,).

    Returns:
        Weights of m machines, or None where no machine was ever on hire.

    """
    if habits.share <= 0:
        return None
    today = int(np.floor(origin))
    first = int(np.floor(min(since.min(initial=origin), origin)))
    days = today + HORIZON + 1 - first
    lead = np.arange(first, first + days) - today
    booked = np.where(lead < 0, MOST_BOOKED, habits.booked[np.clip(lead, 0, HORIZON)])
    rho = hire_share(hires, habits, origin)[:, None]
    open_day = (1 - booked) / (1 - booked * rho)
    weight = np.where(hires.out(first, days), HONOUR / rho, open_day)
    weight[~hires.covered] = 1.0
    return DayWeights(first, weight)
