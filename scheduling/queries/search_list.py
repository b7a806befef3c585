"""Searches for plans: those of a person's shops, and the last of one shop."""

from django.db.models import QuerySet

from fleet.models import Person, Shop
from fleet.queries.mine import shops_of
from scheduling.models import NightlyRun, PlanSearch

LISTED = 12
"""Searches that a page lists."""


def searches_of(person: Person) -> QuerySet[PlanSearch]:
    """Return the searches of the shops that a person may look at."""
    return _shown().filter(shop__in=shops_of(person))


def last_searches(shop: Shop | None) -> list[PlanSearch]:
    """Return a shop's searches, the latest first."""
    return list(_shown().filter(shop=shop)[:LISTED])


def last_night(shop: Shop | None) -> NightlyRun | None:
    """Return a shop's latest nightly run."""
    return NightlyRun.objects.filter(shop=shop).first()


def _shown() -> QuerySet[PlanSearch]:
    return PlanSearch.objects.select_related("shop", "trial", "by")
