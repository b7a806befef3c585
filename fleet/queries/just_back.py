"""The return of a machine a moment ago, for who lets it again at once."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from fleet.models import HandOver, Machine

MOMENT_AGO = timedelta(hours=2)
"""As long as a machine that stands at the counter is as it came back (our judgement)."""


@dataclass(frozen=True)
class ComeBack:
    """What was typed as a machine came back: keys of readings, points that were in order."""

    booking: int
    readings: frozenset[int]
    in_order: frozenset[str]


def just_back(machine: Machine, now: datetime) -> ComeBack | None:
    """Return how a machine came back a moment ago, if that was its last hand-over; two queries."""
    last = HandOver.objects.filter(booking__machine=machine).order_by("-at").first()
    if last is None or last.direction != HandOver.Direction.BACK:
        return None
    if not now - MOMENT_AGO <= last.at <= now:
        return None
    readings = last.readings.values_list("pk", flat=True)
    in_order = (point for point, fine in last.walk_round.items() if fine)
    return ComeBack(last.booking_id, frozenset(readings), frozenset(in_order))
