"""What a machine is used a day while it is on hire, and what that makes of its forecast.

A forecast counts coming days as days of usual use: on hire or not, as the past was.  A machine that
is surely out for n days is used n h, with h its use a day on hire; the forecast takes n r for the
same days, r its mean use a day.  So to be out from day a to day b is, for a service that a meter
brings about, as if the usual time ran on to

    e = (a - 1) + (b - a + 1) h / r

and the service falls due before the machine is back with the chance that the forecast gives to day
e.  (Own derivation: use on distinct days adds up, and only its mean is moved.)  Days that stand
booked already count as days of hire in the forecast, with the use that the booking says; there only
what is asked beside that stretches them.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from fleet.models import MeterKind
from scheduling.models import DuePoint

LEAST, MOST = 0.2, 5.0
"""Bounds of h / r where past hires tell h: a few tell no more than that (our judgement)."""

MOST_SAID = 60.0
"""Bound of h / r where the customer says h: a machine that hardly runs has an r near nought."""


@dataclass(frozen=True)
class UseOnHire:
    """Use on a day of hire by kind of meter, in hours, metres or cycles.

    said: hours a day that the customer says; known: the forecast counts these days as hire already,
    and then with `counted` hours a day, if the booking says how many.
    """

    usual: Mapping[str, float] = field(default_factory=dict)
    said: float | None = None
    known: bool = False
    counted: float | None = None

    def of_promise(self, said: float | None) -> "UseOnHire":
        """Return the use during a booking, of which so many hours a day are kept, or none."""
        return UseOnHire(self.usual, said, True, said)

    def a_day(self, kind: str) -> float | None:
        """Return the use a day on a kind of meter; None where nothing tells."""
        if self.said is not None and kind == MeterKind.HOURS:
            return self.said
        return self.usual.get(kind)

    def stretch(self, point: DuePoint) -> float:
        """Return h / r for a service; 1 where it is not known or no meter brings it about."""
        if point.due_day and point.p50 and point.p50 >= point.due_day:
            return 1.0
        kind = point.meter_kind
        wanted, usual = self.a_day(kind), point.rate_per_day
        on_hours = kind == MeterKind.HOURS
        if self.known:
            usual = self.usual.get(kind)
            usual = self.counted if on_hours and self.counted is not None else usual
        if wanted is None or wanted == usual or not usual or usual <= 0:
            return 1.0
        most = MOST_SAID if on_hours and self.said is not None else MOST
        return min(max(wanted / usual, LEAST), most)

    def usual_day(self, point: DuePoint, first: date, last: date) -> float:
        """Return e as a day number: how far the usual time runs by the end of the last day."""
        before = first.toordinal() - 1
        return before + ((last - first).days + 1) * self.stretch(point)

    def day_reached(self, point: DuePoint, reached: date, first: date) -> date:
        """Return the day, while out from a first day on, that the usual time calls `reached`."""
        if reached < first:
            return reached
        days = (reached.toordinal() - first.toordinal() + 1) / self.stretch(point)
        return first + timedelta(days=max(-int(-days // 1), 1) - 1)
