"""Raise a bound to the next amount that a plan can cost at all.

Where every price is a whole multiple of some step (trips at 100 and nothing else, say), so is
every plan's cost, and a bound between two multiples proves the upper one.
"""

from math import ceil, gcd

import numpy as np

from scheduling.core.planner.problem import Case
from scheduling.core.planner.visits import Visits

CENTS = 100
"""Units of money in which steps are looked for."""

SLACK = 1e-6
"""Fraction of a step by which a bound may miss a multiple through rounding."""


def money_step(case: Case, machines: list[Visits]) -> float:
    """Return the largest money of which every price is a whole multiple; 0 if there is none."""
    prices = [case.trip_cost, *(v.loss for v in machines), *(v.wait_cost for v in machines)]
    prices += [v.cost[np.isfinite(v.cost)] for v in machines]
    if (case.longest > case.regular).any():
        prices.append(case.overtime)
    # In cents, as whole numbers: only those have an exact greatest common divisor.
    units = np.unique(np.concatenate([np.zeros(1), *prices])) * CENTS
    if np.abs(units - np.round(units)).max() > SLACK:
        return 0.0
    return gcd(*np.round(units).astype(np.int64).tolist()) / CENTS


def raised(bound: float, step: float) -> float:
    """Return the least multiple of `step` that is not below `bound` (money)."""
    return ceil(bound / step - SLACK) * step if step > 0 else bound
