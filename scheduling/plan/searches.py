"""Searches for a plan: asked for in the transaction of what asks, done by the worker.

The row tells a person how far it is; the entry beside it is what makes sure that it is done.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from textwrap import shorten

from django.db import transaction

from fleet.models import Person, Shop
from scheduling.models import OutboxEntry, PlanSearch, Trial
from scheduling.outbox.entries import owe
from scheduling.plan.search_stages import Telling

KEPT = timedelta(days=30)
"""How long a search that has ended stays."""

LONGEST_OPEN = timedelta(minutes=10)
"""A search of a night or a look is over sooner; one that is not was cut short."""
CUT_SHORT = "It was cut short, and another took its place."

Cause = PlanSearch.Cause
KINDS = {
    Cause.HAND: OutboxEntry.Kind.REPLAN,
    Cause.FIRST: OutboxEntry.Kind.REPLAN,
    Cause.TRIAL: OutboxEntry.Kind.TRIAL,
}


@transaction.atomic
def ask(shop: Shop, *, by: Person | None, now: datetime, trial: Trial | None = None) -> PlanSearch:
    """Owe a search: of the shop's plan, or of a trial beside it; of nobody, its first plan."""
    cause = Cause.TRIAL if trial else Cause.HAND if by else Cause.FIRST
    search = PlanSearch.objects.create(
        shop=shop,
        cause=cause,
        trial=trial,
        round=trial.round if trial else 0,
        by=by,
        asked_at=now,
        stage="waiting for its turn",
    )
    owe(f"search:{search.pk}", KINDS[cause], {"search": search.pk}, now, now)
    return search


@dataclass
class Running:
    """A search under way: how it tells, and what is said when it is over."""

    tell: Telling
    said: str = ""


@contextmanager
def begun(search: PlanSearch, now: datetime) -> Iterator[Running]:
    """Begin a search, and end it with what was said; one that fails stays owed, and says so."""
    PlanSearch.objects.filter(pk=search.pk).update(began_at=now, failed=False)
    running = Running(Telling(search.pk))
    started = running.tell.clock()
    try:
        yield running
    except Exception:
        PlanSearch.objects.filter(pk=search.pk).update(
            stage="did not work this time; it is tried again", failed=True
        )
        raise
    ended = now + timedelta(seconds=running.tell.clock() - started)
    PlanSearch.objects.filter(pk=search.pk).update(
        ended_at=ended, stage="", share=1.0, said=shorten(running.said, 400, placeholder=" …")
    )


def close_open(shop: Shop, cause: str, now: datetime) -> int:
    """Close searches of a shop that nobody goes on with, since another of their kind begins."""
    rows = PlanSearch.objects.filter(
        shop=shop, cause=cause, began_at__lte=now, ended_at=None, trial=None
    )
    return rows.update(ended_at=now, stage="", failed=True, said=CUT_SHORT)


def close_left_open(now: datetime) -> int:
    """Close searches of nights and looks that a kill left open; one query where there is none.

    What a person asked for is owed by an entry of its own and goes on with it.
    """
    open_ones = PlanSearch.objects.filter(
        cause__in=(Cause.NIGHT, Cause.FACTS), began_at__lt=now - LONGEST_OPEN, ended_at=None
    )
    return open_ones.update(ended_at=now, stage="", failed=True, said=CUT_SHORT)


def forget_old(now: datetime) -> int:
    """Drop searches that ended long ago; return how many."""
    return PlanSearch.objects.filter(asked_at__lt=now - KEPT).delete()[0]
