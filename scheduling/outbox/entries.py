"""The list of what is owed: rows in the database, with the queue as their doorbell.

Steps whose order is the rule:
1. owe: the row is written in the transaction of the fact that asks for it, once for each key;
2. after the commit the queue is rung; should the bell be lost, nothing is, since the sweep looks;
3. claim: one UPDATE that states the old value takes a lease; go on only if it changed a row;
4. the lease is short and renewed while the work lives (`renewal.py`): what a killed worker held is
   free again within LEASE;
5. finish, give up or back off: one UPDATE that states the number of the try, so that a worker that
   lost its lease to another cannot undo what its successor did.
"""

import logging
from collections.abc import Mapping
from datetime import datetime, timedelta
from functools import partial
from typing import Any
from zlib import crc32

from django.db import transaction
from django.db.models import F, Q, QuerySet

from fleet.celery import app
from scheduling.models import OutboxEntry

logger = logging.getLogger(__name__)

LEASE = timedelta(seconds=35)
"""How long an entry is held at a time.  With the sweep's 20 s, what a killed worker held is taken
up again within a minute."""

LONGEST_WORK = {
    OutboxEntry.Kind.NIGHTLY: timedelta(minutes=40),
    OutboxEntry.Kind.REFRESH: timedelta(minutes=10),
    OutboxEntry.Kind.SEND: timedelta(minutes=3),
    OutboxEntry.Kind.REPLAN: timedelta(minutes=5),
    OutboxEntry.Kind.TRIAL: timedelta(minutes=5),
    OutboxEntry.Kind.IMPORT: timedelta(minutes=40),
    OutboxEntry.Kind.LOOK: timedelta(minutes=5),
    OutboxEntry.Kind.COPY: timedelta(minutes=40),
    OutboxEntry.Kind.PAST: timedelta(minutes=10),
}
"""How long a lease is renewed at most: work that hangs is let go of and begun again."""

LONGEST_WAIT = timedelta(minutes=15)
"""Cap on the time between two tries, before it is spread out."""

SPREAD = 0.25
"""Share by which a wait is made longer at most: what failed together is not tried together."""

KEPT = timedelta(days=30)
"""How long a finished entry stays, for whoever wants to know what happened."""

MOST_RINGS = 500
"""Rings of one sweep; the rest hear the next one, so that a dead worker's queue stays short."""


class TryAgain(Exception):
    """What was tried did not work this time, for a reason that is stated and may pass."""


def owe(
    key: str,
    kind: OutboxEntry.Kind,
    payload: dict[str, Any],
    due_at: datetime,
    now: datetime,
    *,
    ring_bell: bool = True,
) -> OutboxEntry:
    """Write down an entry, once for each key, inside the caller's transaction; ring after it.

    Without ring_bell the caller does it itself after the commit, and the sweep should it not.
    """
    entry, made = OutboxEntry.objects.get_or_create(
        key=key,
        defaults={"kind": kind, "payload": payload, "due_at": due_at, "made_at": now},
    )
    if made and ring_bell and due_at <= now:
        transaction.on_commit(partial(ring, entry.pk))
    return entry


def owe_all(payloads: Mapping[str, dict[str, Any]], kind: OutboxEntry.Kind, now: datetime) -> None:
    """Owe entries that are due now, by key, with one query; none of the keys may be there yet."""
    rows = [
        OutboxEntry(key=key, kind=kind, payload=payload, due_at=now, made_at=now)
        for key, payload in payloads.items()
    ]
    for row in OutboxEntry.objects.bulk_create(rows):
        transaction.on_commit(partial(ring, row.pk))


def ring(pk: int, expires: float | None = None) -> None:
    """Tell a worker to look at an outbox entry now; a queue that is down is no reason to fail."""
    try:
        app.send_task("scheduling.tasks.perform_entry", args=[pk], retry=False, expires=expires)
    except Exception as error:  # brokers raise what their client library raises
        logger.warning("The queue could not be rung (%s); the sweep will look.", error)


def owed(now: datetime) -> QuerySet[OutboxEntry]:
    """OutboxEntries that are due and unfinished, and that nobody holds."""
    free = Q(leased_until=None) | Q(leased_until__lte=now)
    return OutboxEntry.objects.filter(free, due_at__lte=now, done_at=None, failed_at=None)


def sweep(now: datetime, expires: float = 20) -> int:
    """Ring for every entry that is owed, oldest first; return how many."""
    pks = list(owed(now).order_by("due_at").values_list("pk", flat=True)[:MOST_RINGS])
    for pk in pks:
        ring(pk, expires)
    return len(pks)


def claim(pk: int, now: datetime) -> OutboxEntry | None:
    """Take the lease of an outbox entry; None where somebody else holds it or nothing is owed."""
    entry = OutboxEntry.objects.filter(pk=pk).first()
    if entry is None:
        return None
    until = now + LEASE
    taken = owed(now).filter(pk=pk).update(leased_until=until, attempts=F("attempts") + 1)
    if taken != 1:
        return None
    entry.leased_until, entry.attempts = until, entry.attempts + 1
    return entry


def finish(entry: OutboxEntry, now: datetime) -> bool:
    """Mark an outbox entry done; False where its lease had run out and another took it."""
    return _settle(entry, done_at=now, error="")


def give_up(entry: OutboxEntry, now: datetime, error: str) -> bool:
    """Mark an outbox entry as failed for good."""
    return _settle(entry, failed_at=now, error=error[:500])


def renew(entry: OutboxEntry, now: datetime) -> bool:
    """Hold an entry for another while; False where it is settled, or another holds it by now."""
    return _settle(entry, leased_until=now + LEASE)


def back_off(entry: OutboxEntry, now: datetime, error: str) -> bool:
    """Let an entry wait 2, 4, 8 ... seconds by moving its due time, so that a crash keeps it.

    Each wait is up to a quarter longer, by the entry's key and try: what failed at one moment is
    not tried again at one moment (jitter; AWS Architecture Blog, "Exponential Backoff and Jitter").
    """
    wait = min(timedelta(seconds=2 ** min(entry.attempts, 12)), LONGEST_WAIT)
    wait *= 1 + SPREAD * (crc32(f"{entry.key}:{entry.attempts}".encode()) % 1000) / 1000
    return _settle(entry, due_at=now + wait, leased_until=None, error=error[:500])


def put_off(entry: OutboxEntry, until: datetime) -> bool:
    """Let an entry wait until a moment, which is no fault of anybody."""
    return _settle(entry, due_at=until, leased_until=None, attempts=0, error="")


def forget_done(now: datetime) -> int:
    """Drop outbox entries that were finished long ago; return how many."""
    return OutboxEntry.objects.filter(done_at__lt=now - KEPT).delete()[0]


def _settle(entry: OutboxEntry, **changes: Any) -> bool:
    mine = OutboxEntry.objects.filter(
        pk=entry.pk, attempts=entry.attempts, done_at=None, failed_at=None
    )
    return mine.update(**changes) == 1
