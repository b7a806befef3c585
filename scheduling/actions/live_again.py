"""A manager asks for the shop's past to be lived through again; the worker lives it in slices."""

import time
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

from fleet.models import Person, Shop
from fleet.refusal import Refusal
from scheduling.hindsight.past_loading import load_past
from scheduling.hindsight.replayed_year import SEEDS, Relived
from scheduling.hindsight.too_thin import SpanAsked, refuse_thin, span_of
from scheduling.models import Hindsight, OutboxEntry
from scheduling.outbox.entries import owe
from scheduling.queries.lived_pasts import entry_key

SLICE = 20.0
"""Seconds that the worker lives at a time: what changes meanwhile waits no longer than that."""

TOLD_EVERY = 2.0
"""Seconds from one word of progress to the next."""


@transaction.atomic
def ask_past(shop: Shop, *, by: Person, now: datetime) -> Hindsight:
    """Owe the last year of a shop, lived again; one that is under way is not asked for twice.

    Refuses a shop of whose past too little is on record.
    """
    Shop.objects.select_for_update(no_key=True).get(pk=shop.pk)
    under_way = Hindsight.objects.filter(shop=shop, ended_at=None).first()
    if under_way is not None:
        return under_way
    span = span_of(shop, now, None, None)
    row = Hindsight.objects.create(
        shop=shop, by=by, first_day=span.first, last_day=span.last, seeds=SEEDS, asked_at=now
    )
    owe(entry_key(row), OutboxEntry.Kind.PAST, {"hindsight": row.pk}, now, now)
    return row


def stop_past(shop: Shop, *, now: datetime) -> bool:
    """Stop what is being lived of a shop; False where nothing is, or it was over already."""
    rows = Hindsight.objects.filter(shop=shop, ended_at=None)
    return rows.update(ended_at=now, stopped=True, state={}) == 1


def live_slice(pk: int, now: datetime, clock: Callable[[], float] = time.monotonic) -> bool:
    """Live through some nights more; True where nothing is left to live."""
    row = Hindsight.objects.select_related("shop").filter(pk=pk, ended_at=None).first()
    if row is None:
        return True
    began = clock()
    loaded = load_past(row.shop, row.first_day, row.last_day, now)
    try:
        refuse_thin(loaded)
    except Refusal as no:
        _open(pk).update(ended_at=now, said=no.sentence)
        return True
    lived = Relived(loaded, row.seeds, row.state)
    told = began
    while not lived.over and clock() - began < SLICE:
        lived.live()
        if clock() - told >= TOLD_EVERY:
            told = clock()
            if not _open(pk).update(nights_lived=lived.night):
                return True
    if not lived.over:
        return not _open(pk).update(nights_lived=lived.night, state=lived.as_state())
    ended = now + timedelta(seconds=clock() - began)
    done = {"ended_at": ended, "nights_lived": lived.night, "result": lived.result(), "state": {}}
    if _open(pk).update(**done):
        _drop_older(row)
    return True


@transaction.atomic
def keep_past(shop: Shop, span: SpanAsked, result: dict[str, Any], *, now: datetime) -> Hindsight:
    """Keep what a command lived, so that the page shows it; what is under way goes on."""
    nights = (span.last - span.first).days + 1
    row = Hindsight.objects.create(
        shop=shop, first_day=span.first, last_day=span.last, seeds=result["seeds"], asked_at=now,
        ended_at=now, nights_lived=nights, result=result,
    )  # fmt: skip
    _drop_older(row)
    return row


def _drop_older(row: Hindsight) -> None:
    older = Hindsight.objects.filter(shop=row.shop_id, ended_at__isnull=False)
    older.exclude(pk=row.pk).delete()


def _open(pk: int) -> QuerySet[Hindsight]:
    """Return the row as long as nobody stopped it."""
    return Hindsight.objects.filter(pk=pk, ended_at=None)
