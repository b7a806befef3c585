"""What is asked of the planner: one instance as plain values, its rules, and its arrays.

`read_problem` turns an instance of format ``shop-plan-1`` into a `Problem` or refuses it with an
`InstanceError`.  `day_rule` and `mechanic_rule` say what no plan may do, `Order` what comes before
what on one machine, `expected_late` and `expected_early` what a forecast due date costs in days.
`case_of` counts the resources of one yard into arrays (`Case`), in whole `ticks`.
"""

from . import ticks
from .array_types import Flags, Floats, Ints
from .case import Case, case_of, split_by_yard
from .due import expected_early, expected_late, knots
from .entities import Booking, InstanceError, Machine, Mechanic, Spot, Task
from .instance import read_problem
from .order import Order, order_of, required
from .problem import Problem
from .rules import allowed_days, allowed_mechanics, closed_rule, day_rule, fixed_spot, mechanic_rule

__all__ = [
    "Booking",
    "Case",
    "Flags",
    "Floats",
    "InstanceError",
    "Ints",
    "Machine",
    "Mechanic",
    "Order",
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
    "order_of",
    "read_problem",
    "required",
    "split_by_yard",
    "ticks",
]
