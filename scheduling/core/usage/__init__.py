"""Use of machines: readings cleaned into life lines, and what they say of each machine's rate."""

from scheduling.core.usage.bursts import BurstModel
from scheduling.core.usage.calendar_factors import (
    CalendarFactors,
    StoredDays,
    calendar_weights,
    learn_calendar,
    month_of,
)
from scheduling.core.usage.cleaning import Cleaned, CleaningReason, clean
from scheduling.core.usage.common_levels import BLOCK, CommonLevels, common_levels
from scheduling.core.usage.common_swings import common_swings
from scheduling.core.usage.day_weights import DayWeights
from scheduling.core.usage.flat_arrays import Flags, Floats, Ints, floats, machine_index
from scheduling.core.usage.law import LUMP_POWER, UseLaw
from scheduling.core.usage.memory import Memory, Remembered, memory_weights, remembered
from scheduling.core.usage.plausible import plausible_link, use_ceiling
from scheduling.core.usage.rates import (
    RateModel,
    RatePosterior,
    estimate_rates,
    fit_rates,
    observed_lump,
)
from scheduling.core.usage.reading_arrays import Readings, Swaps
from scheduling.core.usage.use_between_readings import UseIntervals, use_intervals

__all__ = [
    "BLOCK",
    "LUMP_POWER",
    "BurstModel",
    "CalendarFactors",
    "Cleaned",
    "CleaningReason",
    "CommonLevels",
    "DayWeights",
    "Flags",
    "Floats",
    "Ints",
    "Memory",
    "RateModel",
    "RatePosterior",
    "Readings",
    "Remembered",
    "StoredDays",
    "Swaps",
    "UseIntervals",
    "UseLaw",
    "calendar_weights",
    "clean",
    "common_levels",
    "common_swings",
    "estimate_rates",
    "fit_rates",
    "floats",
    "learn_calendar",
    "machine_index",
    "memory_weights",
    "month_of",
    "observed_lump",
    "plausible_link",
    "remembered",
    "use_ceiling",
    "use_intervals",
]
