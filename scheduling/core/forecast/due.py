"""When services fall due: chances by day, and the days of given chances."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from scheduling.core.forecast.clock import HORIZON
from scheduling.core.forecast.model import FleetModel, Outlook
from scheduling.core.forecast.passage import first_day, gamma_passage
from scheduling.core.usage.arrays import Floats, Ints, floats, machine_index
from scheduling.core.usage.cleaning import Cleaned

QUANTILES = (0.1, 0.5, 0.9)
"""The early, the middle and the late day that people are shown."""

NEGLIGIBLE = 1e-4
"""Chance of a class below which it is left out of a machine's forecast."""


@dataclass(frozen=True)
class DueTasks:
    """Services whose due points are asked for; arrays of shape (n,).

    Attributes:
        machine: index of the machine.
        remaining: R, life left ABOVE THE LAST TRUSTED READING, in the meter's unit; 0 or less
            means that the reading shows it due already; infinity means never.

    """

    machine: Ints
    remaining: Floats

    def checked(self, n_machines: int) -> "DueTasks":
        """Return proper arrays.

        Raises:
            ValueError: a machine that is not there, or a remainder that is not a number.

        """
        machine = machine_index(self.machine, n_machines, "Task")
        remaining = floats(self.remaining)
        wrong = np.flatnonzero(np.isnan(remaining))
        if wrong.size:
            raise ValueError(
                f"What is left to the service of machine {machine[wrong[0]]} is not a number."
            )
        return DueTasks(machine, remaining)


def due_at_life(cleaned: Cleaned, machine: Ints, due_life: ArrayLike) -> DueTasks:
    """Return tasks for due points given as absolute life, in the meter's unit.

    Args:
        cleaned: the life lines; life is 0 at a machine's first reading that counts.
        machine: index of the machine of each due point, shape (n,).
        due_life: the life at which the service is due, shape (n,).

    """
    last = np.nan_to_num(cleaned.last_life)
    return DueTasks(machine, floats(due_life) - last[machine])


def forecast_due(
    model: FleetModel, outlook: Outlook, tasks: DueTasks, quantiles: tuple[float, ...] = QUANTILES
) -> Floats:
    """Return the first day by whose end each service is due with each of the given chances.

    Args:
        model: what the fleet taught.
        outlook: how the machines stand at the origin.
        tasks: n services of these machines.
        quantiles: chances, between 0 and 1.

    Returns:
        Whole days after the origin, shape (n, quantiles); 0 is today or earlier, infinity is
        beyond the horizon of 120 days.

    """
    asked = tasks.checked(outlook.rates.scale.size)
    chance = _Chance(model, outlook, asked)
    n = asked.machine.size
    days = [first_day(chance, q, n, HORIZON) for q in quantiles]
    return np.stack(days, axis=1) if days else np.zeros((n, 0))


def due_chance(model: FleetModel, outlook: Outlook, tasks: DueTasks, days: ArrayLike) -> Floats:
    """Return P(due by the end of day d) for each service and day, shape (n, days).

    Args:
        model: what the fleet taught.
        outlook: how the machines stand at the origin.
        tasks: n services of these machines.
        days: whole days after the origin, 0 to 120; the chance for day 0 is that of a service
            being due already without anybody knowing.

    """
    asked = tasks.checked(outlook.rates.scale.size)
    chance = _Chance(model, outlook, asked)
    wanted = np.atleast_1d(np.asarray(days, dtype=np.int64))
    if wanted.size and (wanted.min() < 0 or wanted.max() > HORIZON):
        raise ValueError(
            f"Days of a forecast lie in 0 to {HORIZON}, not {wanted.min()} to {wanted.max()}."
        )
    n = asked.machine.size
    return (
        np.stack([chance(np.full(n, d)) for d in wanted], axis=1)
        if wanted.size
        else np.zeros((n, 0))
    )


class _Chance:
    """F(d) = (1 − π) Σ_g p_g · Q(k_g, k_g (R/m)/μ_g), μ_g = λ_g E(d), k_g = μ_g²/(φ μ_g + c₀ μ_g²).

    Classes of negligible chance are left out; what remains is one flat list of machine and class.
    """

    def __init__(self, model: FleetModel, outlook: Outlook, tasks: DueTasks) -> None:
        weights = outlook.rates.weights[tasks.machine]
        self.row, which = np.nonzero(weights > NEGLIGIBLE)
        self.weight = weights[self.row, which]
        self.weight /= np.bincount(self.row, self.weight, tasks.machine.size)[self.row]
        self.rate = outlook.rates.rates[which]
        self.level = tasks.remaining / outlook.rates.scale[tasks.machine]
        self.tasks, self.clock, self.model = tasks, outlook.clock, model

    def __call__(self, day: Ints) -> Floats:
        """Return F(d) for one day a task, shape (n,)."""
        model, n = self.model, self.level.size
        mean = self.rate * self.clock.at(self.tasks.machine, day)[self.row]
        shape = mean / (model.rates.lump + model.spread * mean)
        passed = gamma_passage(self.level[self.row], mean, shape)
        chance = (1 - model.rest) * np.bincount(self.row, self.weight * passed, n)
        return np.where(self.level <= 0, 1.0, chance)
