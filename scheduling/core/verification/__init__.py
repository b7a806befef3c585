"""Forecast verification: what came true, how ours compare with a simple average, what to mend."""

from scheduling.core.verification.due_outcomes import PATIENCE, DueOutcome, Settled, settle
from scheduling.core.verification.own_fortnight import fortnight_of
from scheduling.core.verification.recalibration import (
    NOMINAL,
    RecalibrationLimits,
    Tail,
    design_effect,
    recalibrated_level,
)
from scheduling.core.verification.scoring import (
    RangeForecasts,
    RangePosition,
    days_off,
    range_position,
    simple_factors,
    two_ended,
)
from scheduling.core.verification.simple_average import lifetime_average

__all__ = [
    "NOMINAL",
    "PATIENCE",
    "DueOutcome",
    "RangeForecasts",
    "RangePosition",
    "RecalibrationLimits",
    "Settled",
    "Tail",
    "days_off",
    "design_effect",
    "fortnight_of",
    "lifetime_average",
    "range_position",
    "recalibrated_level",
    "settle",
    "simple_factors",
    "two_ended",
]
