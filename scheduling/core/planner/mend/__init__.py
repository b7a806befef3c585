"""Mend a plan when something breaks in the day, and change as little as that takes.

What can stay stays, as is proven by counting; the rest finds its place at the least disturbance,
each move at a price of its own (the change penalty).  `mend` returns a `MendedPlan` with every
`ReasonedMove`.
"""

from .mended_plan import MendedPlan, mend
from .moves import Leaving, LeavingKind, ReasonedMove

__all__ = [
    "Leaving",
    "LeavingKind",
    "MendedPlan",
    "ReasonedMove",
    "mend",
]
