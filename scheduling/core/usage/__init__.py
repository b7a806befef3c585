"""Use of machines: readings cleaned into life lines, and what they say of each machine's rate."""

from scheduling.core.usage.calendar import (
    CalendarFactors,
    Stored,
    calendar_weights,
    learn_calendar,
)
from scheduling.core.usage.cleaning import Cleaned, Reason, clean
from scheduling.core.usage.day_weights import DayWeights
from scheduling.core.usage.intervals import UseIntervals, use_intervals
from scheduling.core.usage.law import LUMP_POWER, UseLaw
from scheduling.core.usage.memory import Memory, Remembered, memory_weights, remembered
from scheduling.core.usage.plausible import plausible_link, use_ceiling
from scheduling.core.usage.rates import RateModel, RatePosterior, estimate_rates, fit_rates
from scheduling.core.usage.readings import Readings, Swaps

__all__ = [
    "LUMP_POWER",
    "CalendarFactors",
    "Cleaned",
    "DayWeights",
    "Memory",
    "RateModel",
    "RatePosterior",
    "Readings",
    "Reason",
    "Remembered",
    "Stored",
    "Swaps",
    "UseIntervals",
    "UseLaw",
    "calendar_weights",
    "clean",
    "estimate_rates",
    "fit_rates",
    "learn_calendar",
    "memory_weights",
    "plausible_link",
    "remembered",
    "use_ceiling",
    "use_intervals",
]
