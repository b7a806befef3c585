"""The work of a shop's plan, to choose from."""

from collections.abc import Collection

from django.db.models import F, QuerySet

from fleet.models import Shop
from scheduling.models import PlannedWork


def work_of(shop: Shop) -> QuerySet[PlannedWork]:
    """Return the work of a shop's plan, by machine."""
    rows = PlannedWork.objects.filter(plan__shop=shop)
    rows = rows.select_related("machine", "service", "finding", "job")
    by_code = F("service__code").asc(nulls_first=True)
    return rows.order_by("machine__tag", by_code, "finding")


def work_on_days(shop: Shop) -> QuerySet[PlannedWork]:
    """Return what of it stands on a shop day."""
    return work_of(shop).exclude(job=None)


def work_by_keys(shop: Shop, keys: Collection[str]) -> list[PlannedWork]:
    """Return what of it has one of these keys, with machine, job and mechanic; one query."""
    rows = PlannedWork.objects.filter(plan__shop=shop, work_key__in=keys)
    return list(rows.select_related("machine", "job__mechanic"))
