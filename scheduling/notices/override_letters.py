"""Letters on decisions against a block: the managers hear at once who let what out, and why.

One letter a decision, however many blocks it went against; who decided knows, and is not told.
"""

import logging
from collections.abc import Sequence
from datetime import datetime, timedelta

from django.db.models import Exists, OuterRef, QuerySet

from fleet.models import Override, Person, Shop
from fleet.saying import say_span
from scheduling.models import Notice
from scheduling.notices.addressees import managers
from scheduling.notices.causes import NoticeCause
from scheduling.notices.letter import Letter, link, write
from scheduling.notices.posting import NewNotice, put_all

logger = logging.getLogger(__name__)

LATEST = timedelta(days=7)
"""What was decided longer ago is no news: a worker that stood still tells it no more."""

Decided = tuple[int, datetime]
"""A booking and a moment: what was decided then for it is one decision."""


def tell_of_overrides(now: datetime) -> int:
    """Tell each shop's managers of what was decided and is not told; return how many notices.

    The sweep calls it, so that it is told within half a minute and no counter waits for it.  One
    query where there is nothing to tell, three a shop where there is.
    """
    by_shop: dict[Shop, dict[Decided, list[Override]]] = {}
    for row in _untold(now).order_by("pk"):
        decisions = by_shop.setdefault(row.machine.yard.shop, {})
        decisions.setdefault((row.booking_id, row.at), []).append(row)
    return sum(_tell_apart(shop, list(own.values()), now) for shop, own in by_shop.items())


def _tell_apart(shop: Shop, decisions: Sequence[Sequence[Override]], now: datetime) -> int:
    """Tell one shop's managers; what is broken in one shop stops no other."""
    try:
        return _tell(shop, decisions, now)
    except Exception:
        logger.exception("Decisions in %s could not be told.", shop)
        return 0


def _untold(now: datetime) -> QuerySet[Override]:
    """Return lately made decisions of which nobody was told; those of a moment are one."""
    told = Notice.objects.filter(
        override__booking=OuterRef("booking"), override__at=OuterRef("at"),
        kind=Notice.Kind.OVERRIDE,
    )  # fmt: skip
    rows = Override.objects.filter(~Exists(told), at__range=(now - LATEST, now), struck=False)
    return rows.select_related(
        "booking", "machine__makeup__machine_class", "machine__yard__shop", "by"
    )


def _tell(shop: Shop, decisions: Sequence[Sequence[Override]], now: datetime) -> int:
    people = list(managers(shop))
    news = [new for own in decisions for new in _letters(shop, own, now, people)]
    return put_all(news, now) if news else 0


def _letters(
    shop: Shop, decision: Sequence[Override], now: datetime, people: Sequence[Person]
) -> list[NewNotice]:
    first = decision[0]
    cause = NoticeCause(Notice.Kind.OVERRIDE, booking_id=first.booking_id, override_id=first.pk)
    told = [one for one in people if one != first.by]
    letter = write_override(decision, now)
    return [NewNotice(cause, one, shop, letter, first.machine) for one in told]


def write_override(decision: Sequence[Override], now: datetime) -> Letter:
    """Write who decided, why, and against what."""
    first = decision[0]
    booking, machine = first.booking, first.machine
    today = now.astimezone(machine.yard.zone).date()
    days = say_span(booking.first_day, booking.last_day, today)
    return write(
        "override",
        f"{machine.tag} goes out against a block: {booking.customer}, {days}",
        {
            "machine": machine,
            "booking": booking,
            "days": days,
            "by": first.by,
            "reason": first.reason,
            "against": [one.against for one in decision],
            "booking_url": link("booking", booking.pk),
            "machine_url": link("machine", machine.tag),
        },
    )
