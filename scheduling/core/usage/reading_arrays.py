"""Meter readings and meter swaps of many machines, as flat arrays."""

from dataclasses import dataclass

import numpy as np

from scheduling.core.usage.flat_arrays import (
    Floats,
    Ints,
    floats,
    machine_index,
    refuse_unless_finite,
)


@dataclass(frozen=True)
class Readings:
    """What the meters of one kind showed; all arrays of shape (n,), in any order.

    Attributes:
        machine: index of the machine, 0 to m-1.
        day: when it was read, in days since 1970-01-01 of the yard's own calendar
            (the fraction is the time of day).
        value: what the meter showed, in the meter's unit (hours, metres, cycles). A value that
            is not a number, infinite or below zero is no error here: cleaning refuses it with a
            reason and keeps the rest.

    """

    machine: Ints
    day: Floats
    value: Floats

    @classmethod
    def none(cls) -> "Readings":
        """Return an empty set of readings, shape (0,)."""
        return cls(np.zeros(0, dtype=np.int64), np.zeros(0), np.zeros(0))

    def checked(self, n_machines: int) -> "Readings":
        """Return the same readings as proper arrays.

        Raises:
            ValueError: a machine or a day is impossible, or the lengths differ.

        """
        machine = machine_index(self.machine, n_machines, "Reading")
        day, value = floats(self.day), floats(self.value)
        if not machine.size == day.size == value.size:
            raise ValueError(
                f"Readings need as many machines ({machine.size}) as days ({day.size}) "
                f"and values ({value.size})."
            )
        # a bad value is a person's slip and is judged later; a bad day is a fault of the caller
        refuse_unless_finite(day, machine, "day of a reading")
        return Readings(machine, day, value)


@dataclass(frozen=True)
class Swaps:
    """Meter swaps on record; all arrays of shape (k,), in any order.

    A rollover is a swap too: the old meter ends at its highest value, the new one begins at 0.

    Attributes:
        machine: index of the machine, 0 to m-1.
        day: when the meter was changed, in days since 1970-01-01.
        old_last: last value of the old meter (NaN: not noted down).
        new_first: first value of the new meter (NaN: not noted down).

    """

    machine: Ints
    day: Floats
    old_last: Floats
    new_first: Floats

    @classmethod
    def none(cls) -> "Swaps":
        """Return an empty set of swaps, shape (0,)."""
        return cls(np.zeros(0, dtype=np.int64), np.zeros(0), np.zeros(0), np.zeros(0))

    def checked(self, n_machines: int) -> "Swaps":
        """Return the same swaps as proper arrays, sorted by machine and day.

        Raises:
            ValueError: a machine or a day is impossible, or the lengths differ.

        """
        machine = machine_index(self.machine, n_machines, "Swap")
        day, old, new = floats(self.day), floats(self.old_last), floats(self.new_first)
        if not machine.size == day.size == old.size == new.size:
            raise ValueError("Swaps need one machine, day, old_last and new_first each.")
        refuse_unless_finite(day, machine, "day of a swap")
        order = np.lexsort((day, machine))
        return Swaps(machine[order], day[order], old[order], new[order])
