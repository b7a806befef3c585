"""What is known of machines beside their readings."""

from dataclasses import dataclass

import numpy as np

from scheduling.core.forecast.hire_days import Hires
from scheduling.core.usage import DayWeights, Ints, machine_index


@dataclass(frozen=True)
class UseCircumstances:
    """What is known of m machines beside their readings.

    Attributes:
        group: index of each machine's group (its class of machine), shape (m,).
        origin: start of the day on which the question is asked, days since 1970-01-01.
        hires: bookings known at the origin; None where there are none at all.
        day_weights: what each calendar day may bring (weekdays, seasons, storage); None for all
            days alike.
        usual_rate: what the owner expects of a machine, units per day, to start from while
            readings are few; None if not stated.
        most_a_day: what no meter of the kind can exceed (24 for an hour meter), units per day.

    """

    group: Ints
    origin: float
    hires: Hires | None = None
    day_weights: DayWeights | None = None
    usual_rate: float | None = None
    most_a_day: float = np.inf

    @property
    def groups(self) -> Ints:
        """The machines' groups as proper indices, shape (m,).

        Raises:
            ValueError: a group that is no index from 0 up.

        """
        return machine_index(self.group, np.iinfo(np.int64).max, "The group of machine")

    def __post_init__(self) -> None:
        # refused by name: further on a NaN would pass through every formula without a sound
        if not np.isfinite(self.origin):
            raise ValueError(f"The origin of a forecast is {self.origin}, not a day.")
        if self.usual_rate is not None and not 0 < self.usual_rate < np.inf:
            raise ValueError(
                f"The usual use of a machine is {self.usual_rate} a day; it must be above 0."
            )
