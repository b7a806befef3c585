"""Notices that a person may read: their own; a manager also those of the manager's shop."""

from django.db.models import Q, QuerySet

from fleet.models import Person
from scheduling.models import Notice


def for_person(person: Person) -> QuerySet[Notice]:
    """Return notices newest first, with what a list of them shows."""
    rows = Notice.objects.select_related("person", "shop", "machine", "booking")
    if not person.manages:
        return rows.filter(person=person)
    return rows.filter(Q(person=person) | Q(shop=person.shop)) if person.shop else rows
