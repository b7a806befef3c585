"""How much a machine has left before its next service: what tells a good choice from a fair one."""

from dataclasses import dataclass
from datetime import date

from scheduling.availability.counter_facts import CounterFacts
from scheduling.due.sentences import say_use
from scheduling.models import DuePoint

FAR = date.max.toordinal()


@dataclass(frozen=True)
class Room:
    """What is left until the next service that bars a machine.

    left: hours, metres or cycles on the meter that runs out first; 0 where no meter says.
    """

    service: str = ""
    left: float = 0.0
    words: str = ""
    next_day: date | None = None

    @property
    def day(self) -> int:
        """The likely day of the next service as a number; far where it is not forecast."""
        return self.next_day.toordinal() if self.next_day else FAR


def room(standing: CounterFacts) -> Room:
    """Return what is left until the machine's next service."""
    bars = [p for p in standing.due_points if p.hard or p.service.blocks_rental]
    if not bars:
        return Room()
    first = min(bars, key=_soonest)
    metered = [p for p in bars if p.remaining is not None]
    least = min(metered, key=_soonest, default=None)
    left = max(least.remaining or 0.0, 0.0) if least else 0.0
    units = standing.machine.yard.units
    words = say_use(left, least.meter_kind, units) if least else ""
    return Room(str(first.service), left, words, first.p50)


def _soonest(point: DuePoint) -> tuple[int, float]:
    day = point.p50.toordinal() if point.p50 else FAR
    return day, point.remaining if point.remaining is not None else float("inf")
