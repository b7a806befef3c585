"""Readings that a person may look at and put right."""

from django.db.models import QuerySet

from fleet.models import Person, Reading
from fleet.queries.mine import machines_of


def readings_of(person: Person) -> QuerySet[Reading]:
    """Return the readings of a person's machines, each with its machine and who took it."""
    rows = Reading.objects.select_related("meter__machine__yard", "read_by", "corrected_by")
    return rows.filter(meter__machine__in=machines_of(person))
