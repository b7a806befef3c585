"""When a shop's nightly run is owed: once a day of the shop, from its own hour on."""

from datetime import datetime

from fleet.models import Shop
from scheduling.models import OutboxEntry
from scheduling.outbox.entries import owe


def owe_nights(now: datetime) -> int:
    """Owe today's run of each shop whose clock has passed its hour; return how many were new.

    The shop's day is the key, so an hour that the clock shows twice in autumn counts once, and one
    that it skips in spring is past when the clock has jumped.  A machine that was switched off
    owes the current day alone.
    """
    keys = {
        f"nightly:{shop.pk}:{_day(shop, now)}": shop
        for shop in Shop.objects.order_by("pk")
        if night_has_come(shop, now)
    }
    known = set(OutboxEntry.objects.filter(key__in=keys).values_list("key", flat=True))
    fresh = {key: shop for key, shop in keys.items() if key not in known}
    for key, shop in fresh.items():
        payload = {"shop": shop.pk, "day": _day(shop, now)}
        owe(key, OutboxEntry.Kind.NIGHTLY, payload, now, now)
    return len(fresh)


def night_has_come(shop: Shop, now: datetime) -> bool:
    """Whether the shop's clock on the wall shows its nightly hour or later."""
    return now.astimezone(shop.zone).time() >= shop.nightly_at


def _day(shop: Shop, now: datetime) -> str:
    return now.astimezone(shop.zone).date().isoformat()
