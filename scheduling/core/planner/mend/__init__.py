"""Mend a plan when something breaks in the day, and change as little as that takes.

What can stay stays, as is proven by counting; the rest finds its place at the least disturbance,
each move at a price of its own.  `mend` returns the mended plan with its `Move`s and their reasons.
"""

from .mend import Mend, mend
from .moves import Move

__all__ = [
    "Mend",
    "Move",
    "mend",
]
