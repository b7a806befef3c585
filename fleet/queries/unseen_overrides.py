"""Decisions against a block that no manager has looked at yet."""

from django.db.models import QuerySet

from fleet.models import Override, Person, Shop
from fleet.queries.mine import machines_of


def overrides_for(person: Person) -> QuerySet[Override]:
    """Return what was decided of the machines that a person may look at."""
    return Override.objects.filter(machine__in=machines_of(person).order_by().values("pk"))


def unseen_overrides(person: Person, shop: Shop | None = None) -> QuerySet[Override]:
    """Return what no manager has seen yet, in all shops or in one, the latest first."""
    rows = overrides_for(person).filter(seen_at=None, struck=False)
    rows = rows.filter(machine__yard__shop=shop) if shop else rows
    return rows.select_related("booking", "machine__yard", "by").order_by("-at", "-pk")
