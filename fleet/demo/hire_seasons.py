"""When a machine is out: hires by season, and jobs of the ranch in its own seasons."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fleet.demo.day_numbers import in_season, months_of
from fleet.demo.scenario import HirePattern, RanchPattern


@dataclass(frozen=True)
class SimulatedHire:
    """First and last day out (day numbers), when it was booked, and for which ranch job."""

    first: int
    last: int
    made: int
    job: str = ""

    @property
    def length(self) -> int:
        """Days out, both ends counted."""
        return self.last - self.first + 1


SURE_AHEAD = 6.0
"""Days ahead of today within which nearly every hire is booked already."""
MEAN_AHEAD = 16.0
"""Mean of the days between a booking and its first day, beyond those."""


def draw_hires(
    rng: np.random.Generator,
    pattern: HirePattern,
    span: tuple[int, int],
    taken: Sequence[SimulatedHire] = (),
) -> list[SimulatedHire]:
    """Hires between two days, none on top of those already taken.

    A hire of mean length L in a month that is busy for a share b is followed by a gap of mean
    L (1 - b) / b, exponential: the share of days on hire comes out as b.
    """
    first, last = span
    mean_length = float(np.dot(pattern.lengths, pattern.chances))
    hires: list[SimulatedHire] = []
    day = first + int(rng.integers(0, 6))
    while day <= last:
        busy = pattern.busy[int(months_of(np.array([day]))[0]) - 1]
        length = int(rng.choice(pattern.lengths, p=pattern.chances))
        gap = 1 + int(rng.exponential(mean_length * (1 - busy) / busy))
        ahead = 1 + int(rng.exponential(SURE_AHEAD if length < 4 else MEAN_AHEAD))
        new = SimulatedHire(day, day + length - 1, day - ahead)
        clash = [h for h in taken if h.first <= new.last and new.first <= h.last]
        if not clash:
            hires.append(new)
        day = max([new.last, *(h.last for h in clash)]) + gap
    return hires


def draw_jobs(
    rng: np.random.Generator,
    pattern: RanchPattern,
    span: tuple[int, int],
    taken: Sequence[SimulatedHire] = (),
) -> list[SimulatedHire]:
    """Ranch jobs: now and then a machine is promised to a season's work for ten days or more."""
    days = np.arange(span[0], span[1] + 1)
    jobs: list[SimulatedHire] = []
    for season in pattern.seasons:
        inside = in_season(days, season.start, season.end)
        starts = days[inside & ~np.concatenate([[True], inside[:-1]])]
        for start in starts:
            if rng.random() > 0.55:
                continue
            begin = int(start) + int(rng.integers(0, 14))
            new = SimulatedHire(begin, begin + int(rng.integers(9, 21)), begin - 20, season.name)
            if not any(h.first <= new.last and new.first <= h.last for h in [*taken, *jobs]):
                jobs.append(new)
    return sorted(jobs, key=lambda job: job.first)
