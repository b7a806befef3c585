"""What there is of one part, by day, and whether it reaches for all that is taken of it."""

from collections.abc import Sequence
from dataclasses import dataclass

NEARLY = 1e-6
"""Pieces, or mL, by which sums of shares may be off."""


@dataclass(frozen=True)
class ShelfSupply:
    """Of one part: `on_hand` on day 0, and what comes as (day, quantity); pieces, or mL."""

    on_hand: float
    arrivals: Sequence[tuple[int, float]] = ()

    def by(self, day: int) -> float:
        """Return what has been there by the end of a day, all that was taken of it included."""
        return self.on_hand + sum(quantity for comes, quantity in self.arrivals if comes <= day)

    def reaches(self, taken: Sequence[tuple[int, float]]) -> bool:
        """Whether it reaches for all of what is taken, given as (day, quantity).

        What is taken by a day has to have come by that day, on each day on which any is taken.
        """
        total = 0.0
        for day, quantity in sorted(taken):
            total += quantity
            if total > self.by(day) + NEARLY:
                return False
        return True
