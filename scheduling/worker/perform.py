"""What a worker does for each kind of entry: claim it, do it, say how it went."""

import logging
from collections.abc import Callable
from contextlib import nullcontext
from datetime import datetime
from typing import Any

from fleet.bring_in.owed_imports import do_owed
from fleet.models import Machine, Shop
from scheduling.actions.live_again import live_slice
from scheduling.actions.look_again import look_again
from scheduling.actions.replan import do_replan
from scheduling.actions.try_changes import do_trial
from scheduling.due.meanwhile import told_beside
from scheduling.due.refresh import refresh
from scheduling.models import NightlyRun, OutboxEntry, PlanSearch
from scheduling.notices.addressees import hearers
from scheduling.notices.hold_letters import has_news, news_of_holds
from scheduling.notices.risk_warnings import warn_of_risks
from scheduling.notices.send import send_owed
from scheduling.notices.wait_letters import tell_of_waits
from scheduling.outbox.entries import (
    TryAgain,
    back_off,
    claim,
    finish,
    give_up,
    put_off,
    ring,
)
from scheduling.outbox.renewal import renewed
from scheduling.queries.waits_to_serve import has_waits
from scheduling.worker.copy_night import keep_copy
from scheduling.worker.night import run_night
from scheduling.worker.went_wrong import say_why

logger = logging.getLogger(__name__)

Clock = Callable[[], datetime]

COPY_TRIES = 6
"""Tries of one night's copy, about two minutes in all; then it is for tomorrow."""


def perform_entry(pk: int, now: datetime, clock: Clock | None = None) -> bool:
    """Do one entry if it is owed and free; True where it was done and settled by this call.

    clock: tells the time to whoever renews the lease while the work lives; None: the work is short,
    and nobody does.  Whatever goes wrong moves its due time and is logged: the entry itself is
    never lost.
    """
    entry = claim(pk, now)
    if entry is None:
        return False
    try:
        with renewed(entry, clock) if clock else nullcontext():
            return DO[OutboxEntry.Kind(entry.kind)](entry, now)
    except TryAgain as error:
        logger.warning("%s has to wait: %s", entry.key, error)
        back_off(entry, now, str(error))
    except Exception as error:
        logger.exception("%s failed and will be tried again.", entry.key)
        back_off(entry, now, say_why(error))
    return False


def _nightly(entry: OutboxEntry, now: datetime) -> bool:
    """Run the night of a shop, unless a good run began after this entry was written down."""
    shop = Shop.objects.filter(pk=entry.payload["shop"]).first()
    if shop is None or _has_run(shop, entry):
        return finish(entry, now)
    report = run_night(shop, now)
    if not report["ok"]:
        failed = [f"{name}: {s['failed']}" for name, s in report["stages"].items() if "failed" in s]
        raise TryAgain("; ".join(failed))
    return finish(entry, now)


def _has_run(shop: Shop, entry: OutboxEntry) -> bool:
    """Whether a night was run in full since; a machine that was off catches up once."""
    return NightlyRun.objects.filter(
        shop=shop, started_at__gte=entry.made_at, finished_at__isnull=False, report__ok=True
    ).exists()


def _refresh(entry: OutboxEntry, now: datetime) -> bool:
    """Re-compute machines whose facts changed, warn of bookings at risk by it, tell of holds and of
    what is free for those who wait.

    What the change itself worked out in its transaction is only warned of.
    """
    machines = entry.payload["machines"]
    worked_out = () if told_beside(entry) else entry.payload.get("worked_out", ())
    faults = []
    if owed := [pk for pk in machines if pk not in worked_out]:
        faults = _refresh_apart(owed, now)
    shops = Shop.objects.filter(yards__machines__in=machines).distinct()
    for shop in shops.annotate(hold_news=has_news(now, machines), waits=has_waits(machines)):
        try:
            _tell_shop(shop, machines, now)
        except Exception as error:  # what is broken in one shop stops no other
            logger.exception("What changed in %s could not be told.", shop)
            faults.append(f"{shop}: {say_why(error)}")
    if faults:
        raise TryAgain("; ".join(faults))
    return finish(entry, now)


def _refresh_apart(machines: list[int], now: datetime) -> list[str]:
    """Work machines out; where that fails, shop by shop, and say which shop's could not be."""
    try:
        refresh(machines, now)
        return []
    except Exception:
        shops = Shop.objects.filter(yards__machines__in=machines).distinct()
        if len(shops) < 2:
            raise
        logger.exception("Machines of several shops could not be worked out together.")
    faults = []
    for shop in shops:
        own = Machine.objects.filter(pk__in=machines, yard__shop=shop).values_list("pk", flat=True)
        try:
            refresh(list(own), now)
        except Exception as error:
            logger.exception("Machines of %s could not be worked out.", shop)
            faults.append(f"{shop}: {say_why(error)}")
    return faults


def _tell_shop(shop: Any, machines: list[int], now: datetime) -> None:
    people = list(hearers(shop)) if shop.hold_news else []
    news = news_of_holds(shop, now, machines, people) if people else []
    warn_of_risks(shop, now, machines, beside=news, people=people)
    if shop.waits:
        tell_of_waits(shop, now, machines)


def _replan(entry: OutboxEntry, now: datetime) -> bool:
    """Plan a shop again because a person asked."""
    search = _search(entry)
    if search is not None:
        do_replan(search, now)
    return finish(entry, now)


def _trial(entry: OutboxEntry, now: datetime) -> bool:
    """Work a trial out beside the real plan."""
    search = _search(entry)
    if search is not None:
        do_trial(search, now)
    return finish(entry, now)


def _import(entry: OutboxEntry, now: datetime) -> bool:
    """Look at a large file, or bring it in; what came before a break is not done again."""
    do_owed(entry.payload["import"], now)
    return finish(entry, now)


def _search(entry: OutboxEntry) -> PlanSearch | None:
    """Return what an outbox entry is about; None where it was dropped since."""
    rows = PlanSearch.objects.select_related("shop", "trial__shop", "trial__by")
    return rows.filter(pk=entry.payload["search"]).first()


def _copy(entry: OutboxEntry, now: datetime) -> bool:
    """Make the night's copy of the site; one that cannot be made is tried a few times."""
    fault = keep_copy(now)
    if fault and entry.attempts < COPY_TRIES:
        raise TryAgain(fault)
    return give_up(entry, now, fault) if fault else finish(entry, now)


def _look(entry: OutboxEntry, now: datetime) -> bool:
    """Look at a shop's plan again, since facts that it hangs on have changed."""
    shop = Shop.objects.filter(pk=entry.payload["shop"]).first()
    if shop is not None:
        look_again(shop, now)
    return finish(entry, now)


def _past(entry: OutboxEntry, now: datetime) -> bool:
    """Live through some nights of a past; the rest waits behind what is owed meanwhile."""
    if live_slice(entry.payload["hindsight"], now):
        return finish(entry, now)
    put_off(entry, now)
    ring(entry.pk)
    return False


DO: dict[OutboxEntry.Kind, Callable[[OutboxEntry, datetime], bool]] = {
    OutboxEntry.Kind.NIGHTLY: _nightly,
    OutboxEntry.Kind.REFRESH: _refresh,
    OutboxEntry.Kind.SEND: send_owed,
    OutboxEntry.Kind.REPLAN: _replan,
    OutboxEntry.Kind.TRIAL: _trial,
    OutboxEntry.Kind.IMPORT: _import,
    OutboxEntry.Kind.LOOK: _look,
    OutboxEntry.Kind.COPY: _copy,
    OutboxEntry.Kind.PAST: _past,
}
