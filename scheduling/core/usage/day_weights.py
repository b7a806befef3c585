"""Calendar days that bring more or less use: weekdays, seasons, storage."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from scheduling.core.usage.flat_arrays import Floats, Ints


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

    @cached_property
    def _total(self) -> Floats:
        """Weights added up to the start of each day and the end of the last; (m, days + 1)."""
        total = np.zeros((self.weight.shape[0], self.weight.shape[1] + 1), self.weight.dtype)
        # kept in the weights' own precision: hire weights of a large fleet are float32 for space
        np.cumsum(self.weight, axis=1, out=total[:, 1:])
        return total

    def up_to(self, machine: Ints, moment: Floats) -> Floats:
        """Return the weights added up from the first day to a moment, in effective days.

        Before the first day the sum is negative: whole calendar days back from it.

        Args:
            machine: machine of each question, any shape.
            moment: days since 1970-01-01, same shape.

        """
        rows, columns = self.weight.shape
        # one row for machines that are all alike: a fleet's calendar is then stored once
        row = machine if rows > 1 else np.zeros(machine.shape, dtype=np.int64)
        at = moment - self.first_day
        whole = np.clip(np.floor(at), 0, columns).astype(np.int64)
        part = np.where(whole < columns, self.weight[row, np.minimum(whole, columns - 1)], 1.0)
        return self._total[row, whole] + np.where(at < 0, at, (at - whole) * part)

    def between(self, machine: Ints, start: Floats, end: Floats) -> Floats:
        """Return the effective days from start to end, of the arguments' shape."""
        return self.up_to(machine, end) - self.up_to(machine, start)
