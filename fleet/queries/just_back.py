"""The return of a machine a moment ago, for who lets it again at once."""

from datetime import datetime, timedelta

from fleet.models import HandOver, Machine

MOMENT_AGO = timedelta(hours=2)
"""As long as a machine that stands at the counter is as it came back (our judgement)."""


def just_back(machine: Machine, now: datetime) -> HandOver | None:
    """Return the hand-over by which a machine came back a moment ago, if that was its last."""
    last = HandOver.objects.filter(booking__machine=machine).order_by("-at").first()
    if last is None or last.direction != HandOver.Direction.BACK:
        return None
    return last if now - MOMENT_AGO <= last.at <= now else None
