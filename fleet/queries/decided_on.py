"""What was decided against a block of one machine, for its page."""

from django.db.models import QuerySet

from fleet.models import Machine, Override

SHOWN = 20
"""The latest that its page shows."""


def decided_on(machine: Machine) -> QuerySet[Override]:
    """Return decisions against a block of a machine, the latest first; one query."""
    rows = Override.objects.filter(machine=machine).select_related("by", "booking")
    return rows.order_by("-at", "-pk")[:SHOWN]
