"""Decisions against a block that no manager has looked at yet."""

from django.db.models import QuerySet

from fleet.models import Override, Person, Shop
from fleet.queries.mine import machines_of


def unseen_overrides(person: Person, shop: Shop | None = None) -> QuerySet[Override]:
    """Return what was decided of the machines that a person may look at, the latest first."""
    rows = Override.objects.filter(
        machine__in=machines_of(person).order_by().values("pk"), seen_at=None, struck=False
    )
    rows = rows.filter(machine__yard__shop=shop) if shop else rows
    return rows.select_related("booking", "machine__yard", "by").order_by("-at", "-pk")
