"""How long a run may take, and the stopwatch that tells.

The planner never asks which day it is.  To keep a time limit it needs a stopwatch: any function
that returns seconds that only grow; the caller may hand in its own (tests hand in a fake one).
"""

import time
from collections.abc import Callable
from dataclasses import dataclass, field

from .search_tuning import Tuning

Clock = Callable[[], float]

SPARE = 0.04
"""Share of the time kept back for stating and explaining the plan."""


@dataclass(frozen=True, slots=True)
class RunLimits:
    """Wall-clock `seconds`, `workers` (threads or processes), `seed`, and when to be content.

    The search stops early once the plan is proven to cost at most `gap` (a fraction) more than
    the best possible.  `clock` is the stopwatch, `tuning` how the search spends its time.
    """

    seconds: float = 10.0
    workers: int = 1
    seed: int = 0
    gap: float = 0.0
    clock: Clock = field(default=time.monotonic, repr=False)
    tuning: Tuning = field(default_factory=Tuning, repr=False)

    def __post_init__(self) -> None:
        # So written, NaN is refused too.
        if not self.seconds > 0:
            raise ValueError(f"seconds must be above 0, not {self.seconds!r}")
        if self.workers < 1:
            raise ValueError(f"workers must be 1 or more, not {self.workers!r}")
        if not 0 <= self.gap < 1:
            raise ValueError(f"gap must be a fraction from 0 to below 1, not {self.gap!r}")


@dataclass(frozen=True, slots=True)
class Watch:
    """A stopwatch with a deadline, both in the clock's seconds."""

    clock: Clock
    started: float
    deadline: float

    @classmethod
    def start(cls, clock: Clock, seconds: float) -> "Watch":
        """Start a watch that is over after `seconds`."""
        now = clock()
        return cls(clock, now, now + seconds)

    def elapsed(self) -> float:
        """Return the seconds since the start."""
        return self.clock() - self.started

    def left(self) -> float:
        """Return the seconds to the deadline, 0 when it has passed."""
        return max(0.0, self.deadline - self.clock())

    def over(self) -> bool:
        """Tell whether the deadline (seconds) has passed."""
        return self.clock() >= self.deadline

    def part(self, share: float) -> "Watch":
        """Return a watch that is over after `share` of the seconds left."""
        now = self.clock()
        return Watch(self.clock, now, now + share * max(0.0, self.deadline - now))
