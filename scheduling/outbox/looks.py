"""Owed looks at plans: facts have changed on which they hang.

Many changes in a row owe one look: it is put off for a moment, and what comes until then joins it.
It is not put off again, so the plan is looked at within a minute of the first.  What changes of
machines is noticed by the sweep, so that no page waits for it.
"""

from collections.abc import Collection
from datetime import datetime, timedelta
from uuid import uuid4

from django.db.models import Q

from scheduling.models import OutboxEntry, Plan

SETTLING = timedelta(seconds=15)
"""How long a look waits for more changes (our judgement; the sweep comes within 30 s of that)."""

LOOKED_BACK = timedelta(hours=1)
"""How far back the sweep looks for changed machines; what is older, the night plans."""


def owe_looks(shops: Collection[int], now: datetime, wait: timedelta = SETTLING) -> int:
    """Owe a look at the plan of each of these shops that has one; return how many were new.

    One that is being done already has loaded its facts: another follows it.
    """
    planned = sorted(Plan.objects.filter(shop__in=shops).values_list("shop", flat=True))
    if not planned:
        return 0
    waiting = OutboxEntry.objects.filter(
        Q(leased_until=None) | Q(leased_until__lte=now),
        kind=OutboxEntry.Kind.LOOK, done_at=None, failed_at=None,
    )  # fmt: skip
    owed = {payload["shop"] for payload in waiting.values_list("payload", flat=True)}
    fresh = [shop for shop in planned if shop not in owed]
    for shop in fresh:
        # the bell is not rung: the sweep comes when the look has waited long enough
        OutboxEntry.objects.create(
            key=f"look:{shop}:{uuid4().hex}",
            kind=OutboxEntry.Kind.LOOK,
            payload={"shop": shop},
            due_at=now + wait,
            made_at=now,
        )
    return len(fresh)


def refreshed(now: datetime) -> dict[int, datetime]:
    """Return when machines were last worked out after a change, by key; one query.

    Those of a plan that was made or looked at since are told too: `looked_at` tells them apart.
    """
    done = OutboxEntry.objects.filter(
        kind=OutboxEntry.Kind.REFRESH, done_at__gt=now - LOOKED_BACK
    ).order_by("done_at")
    latest: dict[int, datetime] = {}
    for at, payload in done.values_list("done_at", "payload"):
        latest |= dict.fromkeys(payload["machines"], at)
    return latest


def looked_at(now: datetime) -> dict[int, datetime]:
    """Return when each plan was made, or last owed a look, by shop; two queries."""
    since = dict(Plan.objects.values_list("shop", "made_at"))
    looks = OutboxEntry.objects.filter(
        kind=OutboxEntry.Kind.LOOK, made_at__gt=now - LOOKED_BACK
    ).values_list("payload", "made_at")
    for payload, at in looks.order_by("made_at") if since else ():
        if payload["shop"] in since:
            since[payload["shop"]] = max(at, since[payload["shop"]])
    return since
