"""Forecast verification: what came true, how ours compare with a simple average, what to mend."""

from scheduling.core.verification.adjusting import (
    NOMINAL,
    AdjustRules,
    Tail,
    adjusted_level,
    design_effect,
)
from scheduling.core.verification.scoring import (
    Fell,
    Said,
    days_off,
    fell,
    simple_factors,
    two_ended,
)
from scheduling.core.verification.settling import PATIENCE, Settled, Verdict, settle
from scheduling.core.verification.simple import lifetime_average
from scheduling.core.verification.turns import turn_of

__all__ = [
    "NOMINAL",
    "PATIENCE",
    "AdjustRules",
    "Fell",
    "Said",
    "Settled",
    "Tail",
    "Verdict",
    "adjusted_level",
    "days_off",
    "design_effect",
    "fell",
    "lifetime_average",
    "settle",
    "simple_factors",
    "turn_of",
    "two_ended",
]
