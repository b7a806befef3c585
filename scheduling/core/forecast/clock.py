"""Effective days: how much use each calendar day may bring, from the last reading on."""

from dataclasses import dataclass

import numpy as np

from scheduling.core.usage.arrays import Floats, Ints

HORIZON = 120
"""Days after the origin that are looked at; what lies beyond is said to be beyond."""


@dataclass(frozen=True)
class DayWeights:
    """A weight for each calendar day: 1 is a usual day, 0 a day of rest or of storage.

    Attributes:
        first_day: the day of the first column, days since 1970-01-01.
        weight: shape (m, days), or (1, days) for all machines alike; days outside count 1.

    """

    first_day: int
    weight: Floats

    def __post_init__(self) -> None:
        wrong = np.argwhere(~(np.isfinite(self.weight) & (self.weight >= 0)))
        if wrong.size:
            machine, column = wrong[0]
            value = self.weight[machine, column]
            raise ValueError(
                f"The weight of day {self.first_day + column} of machine {machine} is {value}; "
                "a day's weight is a number from 0 up."
            )

    def up_to(self, machine: Ints, moment: Floats) -> Floats:
        """Return the weights added up from the first day to a moment, in effective days; (n,).

        Before the first day the sum is negative: whole calendar days back from it.
        """
        rows, columns = self.weight.shape
        total = np.zeros((rows, columns + 1))
        np.cumsum(self.weight, axis=1, out=total[:, 1:])
        row = machine if rows > 1 else np.zeros(machine.shape, dtype=np.int64)
        at = moment - self.first_day
        whole = np.clip(np.floor(at), 0, columns).astype(np.int64)
        inside = total[row, whole]
        part = np.where(whole < columns, self.weight[row, np.minimum(whole, columns - 1)], 1.0)
        return inside + np.where(at < 0, at, (at - whole) * part)

    def between(self, machine: Ints, start: Floats, end: Floats) -> Floats:
        """Return the effective days from start to end, shape (n,)."""
        return self.up_to(machine, end) - self.up_to(machine, start)


@dataclass(frozen=True)
class DayClock:
    """E(d): effective days from each machine's last reading to the end of day d.

    Attributes:
        age: calendar days from the last reading to the origin, shape (m,).
        effective: E(d) for d = 0..HORIZON, shape (m, HORIZON + 1); None for plain calendar
            days, where E(d) = age + d + 1.

    """

    age: Floats
    effective: Floats | None = None

    def at(self, machine: Ints, day: Ints) -> Floats:
        """Return E(d) in effective days, never below 0; machine and day of one shape."""
        if self.effective is None:
            return np.maximum(self.age[machine] + day + 1.0, 0.0)
        return self.effective[machine, day]


def day_clock(age: Floats, origin: float, weights: DayWeights | None = None) -> DayClock:
    """Return the clock of m machines at an origin.

    Args:
        age: calendar days from the last reading to the origin, shape (m,).
        origin: start of the day on which the question is asked, days since 1970-01-01.
        weights: what each day may bring; None for all alike.

    """
    if weights is None:
        return DayClock(age)
    machine = np.arange(age.size)[:, None]
    ends = origin + np.arange(HORIZON + 1)[None, :] + 1.0
    upto = weights.up_to(*np.broadcast_arrays(machine, ends))
    start = weights.up_to(machine[:, 0], origin - age)
    return DayClock(age, np.maximum(upto - start[:, None], 0.0))
