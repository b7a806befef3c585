"""A warning that nobody answered goes to the next person up: from the desk to its managers, then to
those who look after all shops.

A warning is answered when its reader says that it is in hand, or when what it warns of is gone.
"""

from collections import defaultdict
from datetime import datetime, timedelta

from fleet.models import Person, Shop
from scheduling.models import LetterHours, Notice
from scheduling.notices.addressees import managers
from scheduling.notices.causes import CAUSE_FIELDS, NoticeCause
from scheduling.notices.letter import link, write
from scheduling.notices.posting import NewNotice, put

LATEST = timedelta(days=7)
"""What was told longer ago is not told on."""
HOURS = 24
"""Hours without an answer, where the next person up said nothing else (our judgement)."""
FIRST, SECOND = 1, 2
"""Rounds of the letters to a shop's managers, and to those of all shops."""


def tell_next_up(now: datetime) -> int:
    """Tell the next people up of warnings that are open too long; one query where none is."""
    open_ones = Notice.objects.filter(
        kind=Notice.Kind.AT_RISK, over_at=None, answered_at=None, sent_at__gt=now - LATEST,
    ).select_related("person", "shop")  # fmt: skip
    by_cause: dict[tuple[object, ...], list[Notice]] = defaultdict(list)
    for notice in open_ones.order_by("pk"):
        cause = tuple(getattr(notice, name) for name in CAUSE_FIELDS)
        by_cause[(notice.shop_id, notice.round, *cause)].append(notice)
    return sum(_tell(same[0], {one.person_id for one in same}, now) for same in by_cause.values())


def _tell(notice: Notice, had: set[int], now: datetime) -> int:
    waited = now - (notice.sent_at or now)
    made = 0
    for number, people in ((FIRST, _of_shop(notice.shop)), (SECOND, _of_all(notice.shop))):
        for person in people:
            if person.pk not in had and waited >= number * _patience(person):
                made += _put(notice, person, number, now)
    return made


def _of_shop(shop: Shop) -> list[Person]:
    own = [one for one in managers(shop) if one.shop_id]
    return own or list(managers(shop))


def _of_all(shop: Shop) -> list[Person]:
    return [one for one in managers(shop) if one.shop_id is None]


def _patience(person: Person) -> timedelta:
    hours = LetterHours.objects.filter(person=person).first()
    return timedelta(hours=hours.unanswered_hours if hours else HOURS)


def _put(notice: Notice, person: Person, number: int, now: datetime) -> bool:
    if Notice.objects.filter(about=notice, person=person, kind=Notice.Kind.UNANSWERED).exists():
        return False
    letter = write(
        "unanswered",
        f"Nobody has answered: {notice.subject}",
        {"notice": notice, "text": notice.text.partition("\n--\n")[0], "page": link("notices")},
    )
    cause = NoticeCause(Notice.Kind.UNANSWERED, about_id=notice.pk, booking_id=notice.booking_id)
    return put(NewNotice(cause, person, notice.shop, letter, round=number), now) is not None
