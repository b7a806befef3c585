"""What a person did last and may still undo with one press."""

from datetime import datetime, timedelta

from django.db.models import QuerySet

from fleet.models import Act, Machine, Person

UNDO_WITHIN = timedelta(minutes=10)
"""So long after it an act can be undone with one press; later it is corrected."""


def last_act(person: Person, now: datetime, machine: Machine | None = None) -> Act | None:
    """Return what a person did last within ten minutes, to a machine if one is named; one query."""
    rows = acts_of(person).filter(undone_at=None, at__gt=now - UNDO_WITHIN, at__lte=now)
    if machine is not None:
        rows = rows.filter(machine=machine)
    return rows.first()


def acts_of(person: Person) -> QuerySet[Act]:
    """Return what a person did, the latest first."""
    return Act.objects.filter(by=person).select_related("machine")
