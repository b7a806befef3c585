"""When each service falls due: a distribution of days, from readings, bookings and the fleet."""

from scheduling.core.forecast.circumstances import UseCircumstances
from scheduling.core.forecast.day_clock import HORIZON
from scheduling.core.forecast.due_forecast import (
    DueTasks,
    due_at_life,
    due_chance,
    due_range,
    forecast_due,
)
from scheduling.core.forecast.first_of import days_of_chance, first_of, first_of_days
from scheduling.core.forecast.fleet_model import (
    FleetModel,
    UseOutlook,
    fit_fleet,
    look_ahead,
)
from scheduling.core.forecast.hire_days import Hires
from scheduling.core.forecast.law_tuning import tune_law
from scheduling.core.forecast.learnt_seasons import learn_months, with_months
from scheduling.core.forecast.reading_worth import reading_worth
from scheduling.core.forecast.use_summary import Evidence, UseSummary, life_at, summarise
from scheduling.core.forecast.work_to_come import (
    RepeatingWork,
    WorkToCome,
    middle_times,
    work_to_come,
)

__all__ = [
    "HORIZON",
    "DueTasks",
    "Evidence",
    "FleetModel",
    "Hires",
    "RepeatingWork",
    "UseCircumstances",
    "UseOutlook",
    "UseSummary",
    "WorkToCome",
    "days_of_chance",
    "due_at_life",
    "due_chance",
    "due_range",
    "first_of",
    "first_of_days",
    "fit_fleet",
    "forecast_due",
    "learn_months",
    "life_at",
    "look_ahead",
    "middle_times",
    "reading_worth",
    "summarise",
    "tune_law",
    "with_months",
    "work_to_come",
]
