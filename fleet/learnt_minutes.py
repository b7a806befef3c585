"""How long a service takes here: a mean, drawn to what was set up the more the fewer it is of.

Pure.  Shrinkage to a prior mean with a weight of so many services (as in empirical Bayes estimates
of a mean; the weight and the bounds are our judgement):

    learnt = (WEIGHT * planned + sum of the minutes) / (WEIGHT + count)
"""

from dataclasses import dataclass

WEIGHT = 4
"""Services that what was set up counts for."""
FACTOR = 2.0
"""What is learnt lies within this factor of what was set up: beyond it the set-up is wrong."""
SAID_FROM = 0.25
"""Share of the planned minutes from which a difference is told."""


@dataclass(frozen=True)
class LearntMinutes:
    """Minutes that a service is planned with: those set up, those learnt, and from how many."""

    planned: int
    minutes: int
    count: int = 0

    @property
    def worth_saying(self) -> bool:
        """Whether it differs from what was set up by a quarter or more."""
        return abs(self.minutes - self.planned) >= SAID_FROM * self.planned


def learnt_minutes(planned: int, total: float, count: int) -> LearntMinutes:
    """Return what is learnt of a service; total: minutes of the `count` times it was done."""
    if count <= 0 or planned <= 0:
        return LearntMinutes(planned, planned)
    drawn = (WEIGHT * planned + total) / (WEIGHT + count)
    within = min(max(drawn, planned / FACTOR), planned * FACTOR)
    return LearntMinutes(planned, max(1, round(within)), count)
