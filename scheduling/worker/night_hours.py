"""When a shop's nightly run is owed: once a day of the shop, from its own hour on.

A shop is asked for its latest hour that has passed, so that a night at 23:59:30 is not missed by a
clock that looks once a minute, and one that was missed because the machine was off is made good
at the next start, whatever the hour.
"""

import logging
from datetime import date, datetime, timedelta

from fleet.models import Shop
from scheduling.models import NightlyRun, OutboxEntry
from scheduling.outbox.entries import owe

logger = logging.getLogger(__name__)


def owe_nights(now: datetime) -> int:
    """Owe each shop's latest night that has come; return how many were new.

    The night's day is the key, so an hour that the clock shows twice in autumn counts once, and one
    that it skips in spring is past when the clock has jumped.  A machine that was switched off
    owes the latest night alone; `missed_lists` makes good what matters of the others.
    """
    nights = {f"nightly:{shop.pk}:{night}": shop for shop, night in _come(now)}
    known = set(OutboxEntry.objects.filter(key__in=nights).values_list("key", flat=True))
    fresh = {key: shop for key, shop in nights.items() if key not in known}
    for key, shop in fresh.items():
        payload = {"shop": shop.pk, "day": key.rpartition(":")[2]}
        owe(key, OutboxEntry.Kind.NIGHTLY, payload, now, now)
    return len(fresh)


def night_of(shop: Shop, now: datetime) -> date:
    """Return the day of the shop's latest night whose hour its clock on the wall has passed."""
    local = now.astimezone(shop.zone)
    today = local.date()
    return today if local.time() >= shop.nightly_at else today - timedelta(days=1)


def broken_zone(shop: Shop) -> str:
    """Say that a shop's time zone is not known, so that it lives by UTC; empty where it is."""
    if shop.zone.key == shop.time_zone:
        return ""
    return (
        f"{shop.time_zone!r} is not a time zone, so the days of {shop} are those of UTC; correct it"
        " in Set-up."
    )


def _come(now: datetime) -> list[tuple[Shop, date]]:
    """Return each shop's latest night.

    One of yesterday counts only for a shop that has had a night: a new one waits for its hour.
    """
    had = set(NightlyRun.objects.values_list("shop", flat=True).distinct())
    found = []
    for shop in _readable():
        night = night_of(shop, now)
        if shop.pk in had or night == now.astimezone(shop.zone).date():
            found.append((shop, night))
    return found


def _readable() -> list[Shop]:
    """Return the shops; one whose row was spoiled by other hands is told of, and stops no other."""
    try:
        shops = list(Shop.objects.order_by("pk"))
    except ValueError:
        keys = Shop.objects.order_by("pk").values_list("pk", flat=True)
        shops = [shop for key in keys if (shop := _read(key)) is not None]
    for shop in shops:
        if shop.nightly_at is None:
            logger.error("%s has no hour for its night that can be read: give it one.", shop)
    return [shop for shop in shops if shop.nightly_at is not None]


def _read(key: int) -> Shop | None:
    try:
        return Shop.objects.get(pk=key)
    except ValueError as spoiled:
        logger.error("Shop %s has no night: its row cannot be read (%s).", key, spoiled)
        return None
