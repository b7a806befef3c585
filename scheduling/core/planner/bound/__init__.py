"""Prove that no plan of a yard costs less than a bound, and what one more hour is worth.

A linear programme over whole mechanic-days (patterns), grown column by column and tightened by
cuts; its Lagrangian value is a bound at any time (`raise_bound`).  `Tightening` adds cuts over
several machines, `raised` lifts the bound to the next amount that a plan can cost at all, and
`shadow_prices_of` reads what one more hour or bay would save off its prices.
"""

from .bound import Bound, priced_without, raise_bound, start_bound, start_from
from .lattice import money_step, raised
from .pricing import Pattern
from .shadow_prices import HALVES, ShadowPrices, shadow_prices_of
from .tightening import Tightening

__all__ = [
    "HALVES",
    "Bound",
    "Pattern",
    "ShadowPrices",
    "Tightening",
    "money_step",
    "priced_without",
    "raise_bound",
    "raised",
    "shadow_prices_of",
    "start_bound",
    "start_from",
]
