"""What one night knows of the use of machines with one kind of meter."""

from dataclasses import dataclass

import numpy as np

from scheduling.core.forecast import DueTasks, FleetModel, UseOutlook, due_range
from scheduling.core.replay.past_shop import Floats, Ints

LEVELS = (0.1, 0.5, 0.9)
"""Chances of the early, the middle and the late day."""


@dataclass(frozen=True)
class Foresight:
    """k machines: the fleet's model, how they stand, their last life and expected use a day.

    local: number 0..k-1 of each machine, -1 for none, (n,); last_life, rate: (k,).
    """

    model: FleetModel
    outlook: UseOutlook
    local: Ints
    last_life: Floats
    rate: Floats

    def days_to(self, machine: Ints, life: Floats) -> Floats:
        """Return the three days from the night on which lives are reached, (q, 3), inf: far off.

        machine: rows of machines, all with this meter.  A life that was passed gives 0.
        """
        number = self.local[machine]
        left = life - self.last_life[number]
        days = np.full((machine.size, 3), np.inf)
        asked = np.flatnonzero(~np.isnan(left))
        tasks = DueTasks(number[asked], left[asked])
        days[asked] = due_range(self.model, self.outlook, tasks, LEVELS)
        return days
