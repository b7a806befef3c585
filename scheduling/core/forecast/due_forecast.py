"""When services fall due: chances by day, and the days of given chances."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from scheduling.core.forecast.day_clock import HORIZON
from scheduling.core.forecast.fleet_model import FleetModel, UseOutlook
from scheduling.core.forecast.mixture_passage import MixturePassage
from scheduling.core.forecast.quantiles import first_days
from scheduling.core.forecast.seasons_to_come import PARTS
from scheduling.core.usage import Cleaned, Floats, Ints, floats, machine_index

QUANTILES = (0.1, 0.5, 0.9)
"""The early, the middle and the late day that people are shown."""

SURPRISE_DAYS = 7
"""Days before its early day from which a service that falls due is a surprise."""

SURPRISE_PART = 0.3
"""Most that the chance of a surprise may be, as a part of the chance of the early day. In
`forecast_benchmark` 0.8 % of services come more than a week before their early day, 1.7 % without
this rule; half as much would make it 0.3 % and the loss 0.5 % larger."""

CHUNK = 5000
"""Services worked at a time: enough for whole-array speed, few enough to stay in fast memory."""


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
        """Return proper arrays of shape (n,).

        Args:
            n_machines: m; indices lie in 0 to m-1.

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
    # without a reading life begins now: all of the due point is still to be run
    last = np.nan_to_num(cleaned.last_life)
    return DueTasks(machine, floats(due_life) - last[machine])


def forecast_due(
    model: FleetModel,
    outlook: UseOutlook,
    tasks: DueTasks,
    quantiles: tuple[float, ...] = QUANTILES,
) -> Floats:
    """Return the first day by whose end each service is due with each of the given chances.

    Args:
        model: what the fleet taught.
        outlook: how the machines stand at the origin.
        tasks: n services of these machines.
        quantiles: chances, between 0 and 1.

    A quantile is the first whole day by whose end the chance is reached; nobody plans by parts of
    a day.

    Returns:
        Whole days after the origin, shape (n, quantiles); 0 is today or earlier, infinity is
        beyond the horizon of 120 days.

    """
    asked = tasks.checked(outlook.rates.scale.size)
    days = np.empty((asked.machine.size, len(quantiles)))
    for start in range(0, asked.machine.size, CHUNK):
        part = slice(start, start + CHUNK)
        ask = _Question(model, outlook, asked.machine[part], asked.remaining[part])
        days[part] = first_days(ask, quantiles, HORIZON)
    return days


def due_range(
    model: FleetModel,
    outlook: UseOutlook,
    tasks: DueTasks,
    chances: tuple[float, float, float] = QUANTILES,
) -> Floats:
    """Return the early, the middle and the late day of each service, as people are shown them.

    The days of the given chances; but where use is rare and comes in bursts the early chance alone
    would let a service come weeks before its early day, so this lies no more than 7 days after the
    day by which it is due with 0.3 of that chance (0.03 for an early chance of 0.1).

    Args:
        model: what the fleet taught.
        outlook: how the machines stand at the origin.
        tasks: n services of these machines.
        chances: of the three days, rising, between 0 and 1.

    Returns:
        Whole days after the origin, shape (n, 3); infinity is beyond the horizon of 120 days.

    """
    # where the day of the smaller chance lies within a week of the early day nothing moves; the
    # late day is left alone, since a service that comes later than said takes nobody by surprise
    asked = (SURPRISE_PART * chances[0], *chances)
    days = forecast_due(model, outlook, tasks, asked)
    days[:, 1] = np.minimum(days[:, 1], days[:, 0] + SURPRISE_DAYS)
    return days[:, 1:]


def due_chance(model: FleetModel, outlook: UseOutlook, tasks: DueTasks, days: ArrayLike) -> Floats:
    """Return P(due by the end of day d) for each service and day, shape (n, days).

    First passage of a gamma process (doi:10.1016/j.ress.2007.03.019), mixed over the rate classes.

    Args:
        model: what the fleet taught.
        outlook: how the machines stand at the origin.
        tasks: n services of these machines.
        days: whole days after the origin, 0 to 120; the chance for day 0 is that of a service
            being due already without anybody knowing.

    """
    asked = tasks.checked(outlook.rates.scale.size)
    wanted = np.atleast_1d(np.asarray(days, dtype=np.int64))
    if wanted.size and (wanted.min() < 0 or wanted.max() > HORIZON):
        raise ValueError(
            f"Days of a forecast lie in 0 to {HORIZON}, not {wanted.min()} to {wanted.max()}."
        )
    ask = _Question(model, outlook, asked.machine, asked.remaining)
    chance = np.zeros((asked.machine.size, wanted.size))
    for column, day in enumerate(wanted):
        chance[:, column] = ask(np.full(asked.machine.size, day, dtype=np.int64))
    return chance


@dataclass(frozen=True)
class _Question:
    """The chance that services are due by given days, for all of them or for some."""

    model: FleetModel
    outlook: UseOutlook
    machine: Ints
    remaining: Floats

    def __len__(self) -> int:
        return self.machine.size

    def some(self, rows: Ints) -> "_Question":
        """Return the same question about some of the services; rows: indices of shape (k,)."""
        return _Question(self.model, self.outlook, self.machine[rows], self.remaining[rows])

    # kept, since one question is asked for many days: what does not depend on the day is done once
    @cached_property
    def passage(self) -> MixturePassage:
        """The passage of these machines' use over what remains, in effective days."""
        law, rates = self.model.rates.law, self.outlook.rates
        return MixturePassage(law, rates, self.machine, self.remaining)

    def __call__(self, day: Ints) -> Floats:
        """Return P(due by the end of the day) for one day a service, shape (n,)."""
        clocks = self.outlook.courses or (self.outlook.clock,)
        each = [self.passage(clock.at(self.machine, day)) for clock in clocks]
        chance = PARTS @ np.stack(each) if len(each) > 1 else each[0]
        # use comes in lumps by the law, but no day has more hours than it has, and a reading that
        # showed more than is believed of the machine would be taken for a typing error
        days = np.maximum(self.outlook.clock.age[self.machine] + day + 1.0, 0.0)
        return np.where(self.remaining > self.outlook.most[self.machine] * days, 0.0, chance)
