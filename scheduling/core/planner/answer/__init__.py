"""What the planner hands back, as values.

`Result` is the plan with its price, its bound and a `PlaceReason` for each place; `Clash` and
`Relaxation` say what cannot be kept and what would have to give; `Bottleneck` what a week is short
of; `Utilisation` how full the plan makes people and bays; `compare` what differs between two plans.
"""

from .cost_counts import CostCounts, cost_counts
from .difference import Change, Difference, TaskMove, compare
from .place_reason import CENT, FixedBy, PlaceReason, Relaxation, RelaxationKind
from .result import Assignment, Clash, ClashDays, ClashLimit, LimitKind, Result
from .utilisation import WEEK, Bar, Utilisation, utilisation_of
from .week import Bottleneck, Supply

__all__ = [
    "CENT",
    "WEEK",
    "Assignment",
    "Bar",
    "Bottleneck",
    "Change",
    "Clash",
    "ClashDays",
    "ClashLimit",
    "CostCounts",
    "Difference",
    "FixedBy",
    "LimitKind",
    "PlaceReason",
    "Relaxation",
    "RelaxationKind",
    "Result",
    "Supply",
    "TaskMove",
    "Utilisation",
    "compare",
    "cost_counts",
    "utilisation_of",
]
