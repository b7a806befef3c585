"""Entries of the service book that stand."""

from django.db.models import QuerySet

from fleet.models import ServiceRecord


def corrected_records() -> QuerySet[ServiceRecord, int | None]:
    """Return the keys of entries that a later entry puts right or strikes.

    They are few and read once as a list, where joining the book to itself takes PostgreSQL long
    as long as it has not yet counted the rows of a fresh import.
    """
    rows = ServiceRecord.objects.filter(corrects__isnull=False).order_by()
    return rows.values_list("corrects", flat=True)


def standing_records() -> QuerySet[ServiceRecord]:
    """Return the entries that no later entry puts right or strikes."""
    return ServiceRecord.objects.filter(void=False).exclude(pk__in=corrected_records())
