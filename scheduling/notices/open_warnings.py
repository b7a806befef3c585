"""Letters that wait for an answer: which kinds do, and which of them are open.

One is open until somebody says that it is in hand, or what it tells of is gone: the hold released,
the machine back, the decision looked at or struck.  A hold released is news and no more, unless it
was hung for safety: then somebody is to have looked at what went out again.
"""

from datetime import datetime
from typing import Any

from django.db.models import F, Q, QuerySet
from django.db.models.functions import Coalesce

from fleet.models import Finding
from scheduling.models import Notice

Kind = Notice.Kind
ANSWERED = frozenset(
    {Kind.AT_RISK, Kind.LATE, Kind.HELD, Kind.RELEASED, Kind.OVERRIDE, Kind.UNANSWERED}
)
"""Kinds that somebody answers, or the next person up hears of them."""


def waits_for_answer(notice: Notice) -> bool:
    """Whether a letter asks its reader for an answer."""
    if notice.kind == Kind.RELEASED:
        return notice.hold is not None and notice.hold.for_safety
    return notice.kind in ANSWERED


def open_warnings(since: datetime) -> QuerySet[Notice, Any]:
    """Return letters that reached somebody since then and are open, with the moment beside each.

    reached_at: when it was sent, or the letter of the morning in which it was told.
    """
    safe = Q(hold__safety=True) | Q(hold__finding__gravity=Finding.Gravity.UNSAFE)
    stands = (
        Q(kind__in=[Kind.AT_RISK, Kind.LATE])
        | Q(kind=Kind.HELD, hold__released_at=None)
        | Q(safe, kind=Kind.RELEASED)
        | Q(kind=Kind.OVERRIDE, override__seen_at=None, override__struck=False)
    )
    rows = Notice.objects.annotate(reached_at=Coalesce(F("sent_at"), F("told_in__sent_at")))
    rows = rows.filter(stands, over_at=None, answered_at=None, reached_at__gt=since)
    return rows.select_related("person", "shop", "hold", "override").order_by("pk")
