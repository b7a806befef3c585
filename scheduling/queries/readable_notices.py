"""Notices that a person may read: their own; a manager also those of the manager's shop."""

from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet

from fleet.models import Person
from scheduling.models import Notice


@dataclass(frozen=True)
class NoticeCounts:
    """How many notices wait for the mail server, and how many it would not take."""

    waiting: int
    failed: int


def for_person(person: Person) -> QuerySet[Notice]:
    """Return notices newest first, with what a list of them shows."""
    rows = Notice.objects.select_related("person", "shop", "machine", "booking", "told_in")
    if not person.manages:
        return rows.filter(person=person)
    return rows.filter(Q(person=person) | Q(shop=person.shop)) if person.shop else rows


def notice_for(person: Person, pk: int) -> Notice | None:
    """Return one of them."""
    return for_person(person).filter(pk=pk).first()


def unsent_for(person: Person) -> NoticeCounts:
    """Count what has not gone out of the notices that a person may read; one query."""
    waiting = Count("pk", filter=Q(sent_at=None, failed_at=None, kept_here_at=None))
    failed = Count("pk", filter=Q(failed_at__isnull=False))
    return NoticeCounts(**for_person(person).aggregate(waiting=waiting, failed=failed))
