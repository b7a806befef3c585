"""Prove that no plan of a yard costs less than a bound, and what one more hour is worth.

A linear programme over whole mechanic-days (patterns), grown column by column and tightened by
cuts; its Lagrangian value is a bound at any time (`raise_bound`).  `Tightening` adds cuts over
several machines, `raised` lifts the bound to the next amount that a plan can cost at all, and
`worth_of` reads what one more hour or bay would save off its prices.
"""

from .bound import Bound, raise_bound, start_bound, start_from
from .lattice import money_step, raised
from .tightening import Tightening
from .worth import HALVES, Worth, worth_of

__all__ = [
    "HALVES",
    "Bound",
    "Tightening",
    "Worth",
    "money_step",
    "raise_bound",
    "raised",
    "start_bound",
    "start_from",
    "worth_of",
]
