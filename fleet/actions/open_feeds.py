"""A calendar of bookings gets its secret address, and loses it."""

from datetime import datetime
from typing import Any

from django.db import transaction

from fleet.actions.keep_changes import keep_change
from fleet.models import FeedKey, Machine, Person, Shop, Yard


@transaction.atomic
def open_feed(of: Shop | Yard | Machine, *, by: Person, now: datetime) -> FeedKey:
    """Return the address of a desk, a yard or a machine, made now if none stands."""
    place = _place(of)
    Shop.objects.select_for_update(no_key=True).get(pk=place["shop"].pk)  # two presses make one
    if standing := FeedKey.objects.filter(revoked_at=None, **place).first():
        return standing
    key = FeedKey.objects.create(made_at=now, made_by=by, **place)
    keep_change(key, "made", by=by, now=now)
    return key


def _place(of: Shop | Yard | Machine) -> dict[str, Any]:
    if isinstance(of, Machine):
        return {"shop": of.yard.shop, "yard": None, "machine": of}
    if isinstance(of, Yard):
        return {"shop": of.shop, "yard": of, "machine": None}
    return {"shop": of, "yard": None, "machine": None}


@transaction.atomic
def close_feed(key: FeedKey, *, by: Person, now: datetime) -> bool:
    """Let an address open nothing any more; whether it stood."""
    closed = FeedKey.objects.filter(pk=key.pk, revoked_at=None).update(
        revoked_at=now, revoked_by=by
    )
    if closed:
        keep_change(key, "revoked", by=by, now=now)
    return bool(closed)
