"""What a fleet teaches, fitted once and kept, so that one machine can be forecast again at once."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from scheduling.core.forecast.circumstances import UseCircumstances
from scheduling.core.forecast.day_clock import DayClock, day_clock
from scheduling.core.forecast.hire_days import LESS_LUMPY, HireHabits, hire_habits, hire_weights
from scheduling.core.forecast.law_tuning import tune_law
from scheduling.core.forecast.model_as_dict import (
    habits_from_dict,
    habits_to_dict,
    rates_from_dict,
    rates_to_dict,
    seasons_from_dict,
    seasons_to_dict,
)
from scheduling.core.forecast.said_use import weights_as_said
from scheduling.core.forecast.seasons_to_come import SeasonsToCome, seasons_to_come
from scheduling.core.usage import (
    Cleaned,
    DayWeights,
    Flags,
    Floats,
    RateModel,
    RatePosterior,
    UseLaw,
    estimate_rates,
    fit_rates,
    use_intervals,
)


@dataclass(frozen=True)
class FleetModel:
    """What was learnt from a fleet for one kind of meter.

    Attributes:
        rates: mean rates and class shares of groups and fleet, bursts, and the law of use, by
            calendar days.
        ceiling: fastest use believed, units per day, for the site's validation and for cleaning.
        by_hire: the same by days of hire, from the machines whose hires are kept; None without.
        habits: what the fleet's bookings teach; None without bookings.
        seasons: what days may bring to a fleet that has not seen its whole year; None where all
            are alike but for what is stated or learnt of them.

    """

    rates: RateModel
    ceiling: float
    by_hire: RateModel | None = None
    habits: HireHabits | None = None
    seasons: SeasonsToCome | None = None

    def to_dict(self) -> dict[str, Any]:
        """Return the model as plain lists and numbers, ready for JSON; rates in units per day."""
        return {
            "rates": rates_to_dict(self.rates),
            "ceiling": self.ceiling if np.isfinite(self.ceiling) else None,
            "by_hire": None if self.by_hire is None else rates_to_dict(self.by_hire),
            "habits": None if self.habits is None else habits_to_dict(self.habits),
            "seasons": None if self.seasons is None else seasons_to_dict(self.seasons),
        }

    @classmethod
    def from_dict(cls, kept: dict[str, Any]) -> "FleetModel":
        """Return the model that `to_dict` wrote down, arrays in their old shapes."""
        # JSON has no infinity
        ceiling = np.inf if kept["ceiling"] is None else kept["ceiling"]
        habits = None if kept["habits"] is None else habits_from_dict(kept["habits"])
        by_hire = None if kept["by_hire"] is None else rates_from_dict(kept["by_hire"])
        seasons = None if kept["seasons"] is None else seasons_from_dict(kept["seasons"])
        return cls(rates_from_dict(kept["rates"]), ceiling, by_hire, habits, seasons)


@dataclass(frozen=True)
class UseOutlook:
    """How m machines stand at the origin.

    Attributes:
        rates: the belief about each machine's rate.
        clock: effective days from each machine's last reading, over all courses.
        has_reading: a reading counts at all, shape (m,).
        most: fastest use believed of each machine, units per day, shape (m,).
        courses: the clock of each course that the fleet's use may take, with the chances `PARTS`;
            none where all are one.

    """

    rates: RatePosterior
    clock: DayClock
    has_reading: Flags
    most: Floats
    courses: tuple[DayClock, ...] = ()


def fit_fleet(cleaned: Cleaned, about: UseCircumstances, law: UseLaw | None = None) -> FleetModel:
    """Learn what a fleet teaches.

    Args:
        cleaned: the life lines of all machines with one kind of meter.
        about: their groups and bookings, and the origin.
        law: how use varies; by default fitted to the fleet's own past (`tune_law`), which takes
            about a second whatever the fleet's size.

    """
    seasons = seasons_to_come(cleaned, about)
    if seasons is not None:
        about = seasons.weighed(about, cleaned)
    if law is None:
        law = tune_law(cleaned, about)
        # what the level did was not known on those days in the past, so to have been sure of it
        # then is no reason to be surer now
        law = law if seasons is None else replace(law, trust=min(law.trust, 1.0))
    intervals = use_intervals(cleaned, about.day_weights)
    rates = fit_rates(intervals, about.groups, about.origin, law, about.usual_rate)
    ceiling = float(cleaned.ceiling.max()) if cleaned.ceiling.size else np.inf
    model = FleetModel(rates, ceiling, seasons=seasons)
    if about.hires is None:
        return model
    habits = hire_habits(about.hires, use_intervals(cleaned), about.origin)
    model = replace(model, habits=habits)
    weights = _hire_days(model, about)
    if weights is None:
        return model
    kept = np.flatnonzero(about.hires.covered)
    # only machines whose hires are kept: to the others every day looks like a usual one, and their
    # rates would be of calendar days
    intervals = use_intervals(cleaned, weights).of(kept)
    usual = about.usual_rate
    return replace(
        model, by_hire=fit_rates(intervals, about.groups[kept], about.origin, law, usual)
    )


def look_ahead(model: FleetModel, cleaned: Cleaned, about: UseCircumstances) -> UseOutlook:
    """Work out how machines stand at the origin: a whole fleet, or the one that has changed.

    Args:
        model: what the fleet taught, fitted now or kept from the night.
        cleaned: life lines of the machines asked about.
        about: their groups, bookings and day weights, and the origin.

    """
    if model.seasons is not None:
        about = model.seasons.weighed(about, cleaned)
    intervals = use_intervals(cleaned, about.day_weights)
    rates = estimate_rates(model.rates, intervals, about.groups, about.origin)
    weights = _hire_days(model, about)
    if about.hires is not None and weights is not None and model.by_hire is not None:
        intervals = use_intervals(cleaned, weights)
        hired = estimate_rates(model.by_hire, intervals, about.groups, about.origin)
        hired = replace(hired, lump=LESS_LUMPY * hired.lump)
        rates = hired.or_else(rates, about.hires.covered)
    # a machine without any reading is counted from today, at its class's rate
    has = cleaned.last >= 0
    last = np.where(has, cleaned.last_day, about.origin)
    coming = weights_as_said(
        weights or about.day_weights, about.hires, rates.mean_rate, about.origin
    )
    clock = day_clock(about.origin - last, about.origin, coming)
    courses = model.seasons.clocks(clock, about) if model.seasons is not None else ()
    return UseOutlook(rates, clock, has, np.minimum(cleaned.ceiling, about.most_a_day), courses)


def _hire_days(model: FleetModel, about: UseCircumstances) -> DayWeights | None:
    """Return the weights of bookings times those of the calendar; None without bookings."""
    if about.hires is None or model.habits is None:
        return None
    hired = hire_weights(about.hires, model.habits, about.origin)
    if hired is None or about.day_weights is None:
        return hired
    machine = np.arange(hired.weight.shape[0])[:, None]
    day = hired.first_day + np.arange(hired.weight.shape[1], dtype=np.float64)[None, :]
    of_day = about.day_weights.between(*np.broadcast_arrays(machine, day, day + 1.0))
    return DayWeights(hired.first_day, hired.weight * of_day)
