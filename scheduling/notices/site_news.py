"""Letters on the site itself: a night that is late or failed, a copy that could not be made."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Q

from fleet.models import Shop
from scheduling.models import KeptCopy, Notice, OutboxEntry
from scheduling.notices.addressees import managers
from scheduling.notices.causes import cause_of_day
from scheduling.notices.letter import link, write
from scheduling.notices.news import NewsLine
from scheduling.notices.posting import NewNotice, put, told

LATE = timedelta(hours=2)
"""A night that is not done so long after its hour is late (our judgement)."""
TRIES = 3
"""A night that failed so often is told of; one that failed once is tried again in seconds."""
COPY = 1
"""Round of the letter on a copy, beside that on a night of the same day."""


@dataclass(frozen=True)
class SiteFault:
    """What went wrong with the site: of which shop, on which day."""

    shop: Shop
    day: date
    subject: str
    said: str
    round: int = 0


def tell_of_site(now: datetime) -> int:
    """Tell managers of what went wrong, once a day; two queries where nothing did."""
    return sum(_tell(fault, now) for fault in [*_nights(now), *_copies(now)])


def _nights(now: datetime) -> Iterator[SiteFault]:
    late = Q(made_at__lte=now - LATE) | Q(attempts__gte=TRIES, error__gt="")
    owed = OutboxEntry.objects.filter(
        late, kind=OutboxEntry.Kind.NIGHTLY, done_at=None, failed_at=None
    )
    for entry in owed.order_by("pk"):
        shop = Shop.objects.filter(pk=entry.payload.get("shop")).first()
        if shop is None:
            continue
        day = now.astimezone(shop.zone).date()
        if entry.error:
            why = f"It was tried {entry.attempts} times. {entry.error}"
            yield SiteFault(shop, day, f"The night of {shop} failed", why)
        else:
            why = "It is still waiting for the worker, or being worked on."
            yield SiteFault(shop, day, f"The night of {shop} is late", why)


def _copies(now: datetime) -> Iterator[SiteFault]:
    last = KeptCopy.objects.order_by("-day").first()
    if last is None or not last.error or now - last.made_at > timedelta(days=1):
        return
    shop = Shop.objects.order_by("pk").first()
    if shop:
        yield SiteFault(shop, last.day, "The night's copy could not be made", last.error, COPY)


def _tell(fault: SiteFault, now: datetime) -> int:
    cause = cause_of_day(Notice.Kind.NIGHT, fault.day)
    rows = Notice.objects.filter(**cause.fields(), shop=fault.shop, round=fault.round)
    had = set(rows.values_list("person", flat=True)) if told(cause, fault.shop) else set()
    people = [one for one in managers(fault.shop) if one.pk not in had]
    if not people:
        return 0
    words = {
        "sentence": "It is tried again by itself; lists and dates are those of the night before.",
        "lines": [NewsLine(fault.said)],
        "do": "How the nights went, and a button to run one again:",
        "page_url": link("nights"),
    }
    letter = write("lines", fault.subject, words)
    news = [NewNotice(cause, one, fault.shop, letter, round=fault.round) for one in people]
    return sum(put(new, now) is not None for new in news)
