"""What a machine's meters showed: life on one side, the figures behind the glass on the other."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

MORNING, EVENING = 8 * 60 + 30, 15 * 60 + 30
"""Minutes of the day before and after which a day's use counts as done."""

STEP = {"hours": 0.1, "distance": 1609.344, "cycles": 1.0}
"""The last figure that a meter shows: a tenth of an hour, a mile, one cycle."""


@dataclass(frozen=True)
class SimulatedMeter:
    """One meter from its fitting to its end: shown = first_value + life - life_then."""

    kind: str
    day: int
    minute: int
    first_value: float = 0.0
    life_then: float = 0.0
    last_value: float | None = None
    ending: str = ""
    end: tuple[int, int] | None = None

    def shown(self, life: float) -> float:
        """The figure shown at a life, cut to the last figure of the dial."""
        step = STEP[self.kind]
        return round(np.floor((self.first_value + life - self.life_then) / step + 1e-6) * step, 4)

    def ended(self, day: int, minute: int, life: float, ending: str) -> "SimulatedMeter":
        """This dial, taken off or rolled over at a moment."""
        return SimulatedMeter(
            self.kind,
            self.day,
            self.minute,
            self.first_value,
            self.life_then,
            round(self.first_value + life - self.life_then, 4),
            ending,
            (day, minute),
        )


def dial_at(dials: Sequence[SimulatedMeter], day: int, minute: int) -> int:
    """Index of the dial that was fitted at a moment."""
    return max(
        n for n, dial in enumerate(dials) if n == 0 or (dial.day, dial.minute) <= (day, minute)
    )


def roll_over(
    dial: SimulatedMeter, limit: float, days: np.ndarray, life: np.ndarray
) -> list[SimulatedMeter]:
    """The dial, and the one after it if its figures started again at nought in these days.

    life: total use at the start of each day, one more than days.
    """
    full = dial.life_then + limit - dial.first_value
    if dial.end or not life[0] < full <= life[-1]:
        return [dial]
    day = int(days[int(np.searchsorted(life, full)) - 1])
    ended = dial.ended(day, EVENING, full, "rolled")
    return [ended, SimulatedMeter(dial.kind, day, EVENING, 0.0, full)]


def swap(dial: SimulatedMeter, day: int, life: float) -> list[SimulatedMeter]:
    """The dial taken off on a morning, and a new one fitted that starts at nought."""
    shown = dial.shown(life)
    off = dial.ended(day, MORNING, life, "swapped")
    ended = SimulatedMeter(
        off.kind, off.day, off.minute, off.first_value, off.life_then, shown, off.ending, off.end
    )
    return [ended, SimulatedMeter(dial.kind, day, MORNING, 0.0, life)]


def life_at(
    lives: Mapping[str, np.ndarray], kind: str, first_day: int, day: int, minute: int
) -> float:
    """Total use at a moment: that of the morning, or with the day's use once it is over."""
    n = day - first_day + (minute >= EVENING)
    return float(lives[kind][min(max(n, 0), len(lives[kind]) - 1)])
