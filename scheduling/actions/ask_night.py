"""A manager has a shop's nightly run done now."""

from datetime import datetime
from uuid import uuid4

from django.db import transaction
from django.db.models import Q

from fleet.models import Shop
from scheduling.models import OutboxEntry
from scheduling.outbox.entries import owe, ring

NIGHTLY = OutboxEntry.Kind.NIGHTLY


@transaction.atomic
def ask_night(shop: Shop, now: datetime) -> OutboxEntry:
    """Owe a shop's nightly run now; one that is owed or under way already is not owed twice.

    One that waits for its next try is tried at once.
    """
    Shop.objects.select_for_update(no_key=True).get(pk=shop.pk)
    owed = OutboxEntry.objects.filter(
        kind=NIGHTLY, key__startswith=f"nightly:{shop.pk}:", done_at=None, failed_at=None
    ).order_by("pk")
    there = owed.first()
    if there is None:
        key = f"nightly:{shop.pk}:asked:{uuid4().hex}"
        return owe(key, NIGHTLY, {"shop": shop.pk}, now, now)
    free = Q(leased_until=None) | Q(leased_until__lte=now)
    if OutboxEntry.objects.filter(free, pk=there.pk).update(due_at=now):
        transaction.on_commit(lambda: ring(there.pk))
    return there
