"""What is asked of the planner: one instance as plain values, its rules, and its arrays.

`read_problem` turns an instance of format ``shop-plan-1`` into a `Problem` or refuses it with an
`InstanceError`.  `day_rule` and `mechanic_rule` say what no plan may do, `Precedence` what comes
before what on one machine, `expected_late` and `expected_early` how many days off a forecast due
date work on a day must be expected to be.
`case_of` counts the resources of one yard into arrays (`Case`), in whole `ticks`.
"""

from . import ticks
from .array_types import Flags, Floats, Ints
from .case import Case, case_of, split_by_yard
from .conflicts import BusyMechanic, Conflict, ConflictKind
from .entities import BookedSpan, InstanceError, Mechanic, PlannedMachine, Spot, Task
from .instance import read_problem
from .lateness import expected_early, expected_late, knots
from .place_rules import (
    allowed_days,
    allowed_mechanics,
    closed_rule,
    day_rule,
    fixed_spot,
    mechanic_rule,
)
from .precedence import Precedence, precedence_of, required
from .whole_problem import Problem

__all__ = [
    "BookedSpan",
    "BusyMechanic",
    "Case",
    "Conflict",
    "ConflictKind",
    "Flags",
    "Floats",
    "InstanceError",
    "Ints",
    "Mechanic",
    "PlannedMachine",
    "Precedence",
    "Problem",
    "Spot",
    "Task",
    "allowed_days",
    "allowed_mechanics",
    "case_of",
    "closed_rule",
    "day_rule",
    "expected_early",
    "expected_late",
    "fixed_spot",
    "knots",
    "mechanic_rule",
    "precedence_of",
    "read_problem",
    "required",
    "split_by_yard",
    "ticks",
]
