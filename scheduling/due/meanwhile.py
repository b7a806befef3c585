"""Facts that changed while a refresh was under way.

A long refresh may write what it worked out from facts that have changed since it loaded them, over
what a short one worked out from the new facts.  Each change leaves an outbox entry, so entries that
were not there before the facts were loaded name the machines to work out once more.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import connection

from scheduling.models import OutboxEntry

LOOKED_AT = 500
"""Newest entries that are compared; more changes during one refresh are left to their own runs."""

BESIDE = timedelta(minutes=1)
"""Longer than any transaction that works a machine out before it ends."""


@dataclass(frozen=True)
class Meanwhile:
    """The machines to work out once more, and the time of the last change."""

    machines: frozenset[int]
    at: datetime


def newest_entry() -> frozenset[int]:
    """Return the newest entries to re-compute machines; call it before the facts are loaded."""
    rows = OutboxEntry.objects.filter(kind=OutboxEntry.Kind.REFRESH).order_by("-pk")
    return frozenset(rows.values_list("pk", flat=True)[:LOOKED_AT])


def changed_since(before: frozenset[int], ids: Collection[int] | None) -> Meanwhile | None:
    """Return what changed among machines (None: all) since `newest_entry`; None for nothing."""
    rows = OutboxEntry.objects.filter(kind=OutboxEntry.Kind.REFRESH, pk__gt=min(before, default=0))
    fresh = [
        (payload["machines"], made_at)
        for pk, payload, made_at in rows.order_by("-pk").values_list("pk", "payload", "made_at")[
            :LOOKED_AT
        ]
        if pk not in before
    ]
    machines = frozenset(pk for keys, _ in fresh for pk in keys if ids is None or pk in ids)
    return Meanwhile(machines, max(at for _, at in fresh)) if machines else None


def told_beside(entry: OutboxEntry) -> bool:
    """Tell whether another transaction changed a machine that this entry's had worked out.

    It may have changed it after the facts were loaded and before what followed was committed.
    Where a transaction takes the write lock at its start, as on SQLite, none can.
    """
    worked_out = set(entry.payload.get("worked_out", ()))
    if not worked_out or not connection.features.has_select_for_update:
        return False
    rows = OutboxEntry.objects.filter(
        kind=OutboxEntry.Kind.REFRESH, made_at__gte=entry.made_at - BESIDE
    ).exclude(pk=entry.pk)
    others = rows.order_by("-pk").values_list("payload", flat=True)[:LOOKED_AT]
    return any(worked_out.intersection(payload["machines"]) for payload in others)
