"""What tells whether the site is up: what waits, and which shops had their night."""

from datetime import datetime

from django.db.models import Min

from fleet.models import Person, Shop
from scheduling.models import NightlyRun
from scheduling.outbox.entries import owed


def waits_since(moment: datetime) -> bool:
    """Whether something is owed that was to be done by a moment."""
    return owed(moment).exists()


def any_shop_without_night(since: datetime) -> bool:
    """Whether a shop with working machines had no whole nightly run since a moment."""
    shops = Shop.objects.filter(yards__machines__retired_on=None, yards__machines__isnull=False)
    good = NightlyRun.objects.filter(report__ok=True, finished_at__gt=since)
    return shops.exclude(pk__in=good.values("shop")).exists()


def last_whole_night() -> datetime | None:
    """Return when the last whole nightly run of any shop ended."""
    runs = NightlyRun.objects.filter(report__ok=True, finished_at__isnull=False)
    last = runs.order_by("-finished_at").first()
    return last.finished_at if last else None


def first_person_at() -> datetime | None:
    """Return when the site's first person was entered."""
    first: datetime | None = Person.objects.aggregate(first=Min("date_joined"))["first"]
    return first
