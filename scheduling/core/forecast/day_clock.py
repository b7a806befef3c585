"""Effective days: how much use each calendar day may bring, from the last reading on."""

from dataclasses import dataclass

import numpy as np

from scheduling.core.usage import DayWeights, Floats, Ints

HORIZON = 120
"""Days after the origin that are looked at; what lies beyond is said to be beyond."""


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
        # below 0 only where the last reading is later than the day, which then brings nothing new
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
    # all days at once: quantiles ask for many days of a machine, and the table answers by look-up
    machine = np.arange(age.size)[:, None]
    ends = origin + np.arange(HORIZON + 1)[None, :] + 1.0
    upto = weights.up_to(*np.broadcast_arrays(machine, ends))
    start = weights.up_to(machine[:, 0], origin - age)
    return DayClock(age, np.maximum(upto - start[:, None], 0.0))
