"""What a fleet teaches, fitted once and kept, so that one machine can be forecast again at once."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from scheduling.core.forecast.clock import DayClock, DayWeights, day_clock
from scheduling.core.forecast.hires import HireHabits, Hires, hire_habits, hire_weights
from scheduling.core.usage.arrays import Floats, Ints, machine_index
from scheduling.core.usage.cleaning import Cleaned
from scheduling.core.usage.intervals import UseIntervals, use_intervals
from scheduling.core.usage.memory import Memory, Remembered, remembered
from scheduling.core.usage.rates import RateModel, RatePosterior, estimate_rates, fit_rates

LUMP = 8.4
"""φ, days of use at the group's mean rate that come at one go."""

RATE_SPREAD = 0.02
"""c₀, squared coefficient of variation of a rate to come around its class."""

REST_SHARE = 0.033
"""π, share of machines that come to rest for good before they fall due."""


@dataclass(frozen=True)
class FleetModel:
    """What was learnt from a fleet for one kind of meter.

    Attributes:
        rates: mean rates and class shares of groups and fleet.
        ceiling: fastest use believed, units per day, for the site's door and for cleaning.
        spread: c₀, squared coefficient of variation of a rate to come around its class.
        rest: π, share that comes to rest for good.
        habits: what the fleet's bookings teach; None without bookings.

    """

    rates: RateModel
    ceiling: float
    spread: float = RATE_SPREAD
    rest: float = REST_SHARE
    habits: HireHabits | None = None

    def to_dict(self) -> dict[str, Any]:
        """Return the model as plain lists and numbers, ready for JSON."""
        rates = self.rates
        return {
            "group_rate": rates.group_rate.tolist(),
            "fleet_rate": rates.fleet_rate,
            "group_shares": rates.group_shares.tolist(),
            "fleet_shares": rates.fleet_shares.tolist(),
            "lump": rates.lump,
            "half_life": rates.memory.half_life,
            "fast_share": rates.memory.fast_share,
            "ceiling": self.ceiling if np.isfinite(self.ceiling) else None,
            "spread": self.spread,
            "rest": self.rest,
            "hire_share": None if self.habits is None else self.habits.share,
            "booked": None if self.habits is None else self.habits.booked.tolist(),
        }

    @classmethod
    def from_dict(cls, kept: dict[str, Any]) -> "FleetModel":
        """Return the model that `to_dict` wrote down."""
        rates = RateModel(
            group_rate=np.asarray(kept["group_rate"], dtype=np.float64),
            fleet_rate=kept["fleet_rate"],
            group_shares=np.asarray(kept["group_shares"], dtype=np.float64),
            fleet_shares=np.asarray(kept["fleet_shares"], dtype=np.float64),
            lump=kept["lump"],
            memory=Memory(kept["half_life"], kept["fast_share"]),
        )
        ceiling = np.inf if kept["ceiling"] is None else kept["ceiling"]
        model = cls(rates, ceiling, kept["spread"], kept["rest"])
        if kept["hire_share"] is None:
            return model
        habits = HireHabits(kept["hire_share"], np.asarray(kept["booked"], dtype=np.float64))
        return replace(model, habits=habits)


@dataclass(frozen=True)
class Circumstances:
    """What is known of m machines beside their readings.

    Attributes:
        group: index of each machine's group (its class of machine), shape (m,).
        origin: start of the day on which the question is asked, days since 1970-01-01.
        hires: bookings known at the origin; None where there are none at all.
        day_weights: what each calendar day may bring (weekdays, seasons, storage); None for all
            days alike.

    """

    group: Ints
    origin: float
    hires: Hires | None = None
    day_weights: DayWeights | None = None

    def __post_init__(self) -> None:
        if not np.isfinite(self.origin):
            raise ValueError(f"The origin of a forecast is {self.origin}, not a day.")

    def effective(self, intervals: UseIntervals) -> Floats:
        """Return the effective days of each interval, shape (k,)."""
        if self.day_weights is None:
            return intervals.end - intervals.start
        return self.day_weights.between(intervals.machine, intervals.start, intervals.end)


@dataclass(frozen=True)
class Outlook:
    """How m machines stand at the origin.

    Attributes:
        rates: the belief about each machine's rate.
        clock: effective days from each machine's last reading.
        has_reading: a reading counts at all, shape (m,).

    """

    rates: RatePosterior
    clock: DayClock
    has_reading: np.ndarray


def fit_fleet(cleaned: Cleaned, about: Circumstances, memory: Memory | None = None) -> FleetModel:
    """Learn what a fleet teaches.

    Args:
        cleaned: the life lines of all machines with one kind of meter.
        about: their groups and bookings, and the origin.
        memory: how fast the past fades.

    """
    memory = memory or Memory()
    group = machine_index(about.group, np.iinfo(np.int64).max, "The group of machine")
    seen = _remember(cleaned, about, memory)
    rates = fit_rates(seen, group, LUMP, memory)
    ceiling = float(cleaned.ceiling.max()) if cleaned.ceiling.size else np.inf
    habits = None if about.hires is None else hire_habits(about.hires, about.origin)
    return FleetModel(rates, ceiling, habits=habits)


def look_ahead(model: FleetModel, cleaned: Cleaned, about: Circumstances) -> Outlook:
    """Work out how machines stand at the origin: a whole fleet, or the one that has changed.

    Args:
        model: what the fleet taught, fitted now or kept from the night.
        cleaned: life lines of the machines asked about.
        about: their groups, bookings and day weights, and the origin.

    """
    seen = _remember(cleaned, about, model.rates.memory)
    rates = estimate_rates(model.rates, seen, np.asarray(about.group, dtype=np.int64))
    has = cleaned.last >= 0
    last = np.where(has, cleaned.last_day, about.origin)
    weights = _all_weights(model, about, last)
    return Outlook(rates, day_clock(about.origin - last, about.origin, weights), has)


def _remember(cleaned: Cleaned, about: Circumstances, memory: Memory) -> Remembered:
    """Add the intervals of use up under the memory."""
    intervals = use_intervals(cleaned)
    return remembered(intervals, about.effective(intervals), about.origin, memory)


def _all_weights(model: FleetModel, about: Circumstances, last: Floats) -> DayWeights | None:
    """Multiply the weights of bookings and calendar."""
    hired = None
    if about.hires is not None and model.habits is not None:
        hired = hire_weights(about.hires, model.habits, about.origin, last)
    if hired is None or about.day_weights is None:
        return hired or about.day_weights
    machine = np.arange(hired.weight.shape[0])[:, None]
    day = hired.first_day + np.arange(hired.weight.shape[1], dtype=np.float64)[None, :]
    of_day = about.day_weights.between(*np.broadcast_arrays(machine, day, day + 1.0))
    return DayWeights(hired.first_day, hired.weight * of_day)
