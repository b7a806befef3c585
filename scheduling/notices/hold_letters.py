"""Letters on holds: desk, managers and mechanics hear when one is hung and when it is released.

Written after the machine was worked out anew, once for each hold, person and end of it; who hung or
released it knows, and is not told.
"""

from collections.abc import Collection, Sequence
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.db.models import Exists, OuterRef, Q, QuerySet

from fleet.models import Hold, Person, Shop
from fleet.queries.open_holds import must_be_true, who_may
from scheduling.models import Notice
from scheduling.notices.causes import NoticeCause
from scheduling.notices.letter import Letter, language_for, link, mark, write
from scheduling.notices.posting import NewNotice

HELD, RELEASED = Notice.Kind.HELD, Notice.Kind.RELEASED

LATEST = timedelta(days=7)
"""What happened longer ago is no news: a worker that stood still tells it no more."""


def news_of_holds(
    shop: Shop, now: datetime, machine_ids: Collection[int], people: Sequence[Person]
) -> list[NewNotice]:
    """Return the notices that are due of the holds on these machines; they still are to be put.

    people: who hears of it.  One query, however many holds or people.
    """
    rows = _fresh(now, machine_ids).filter(machine__yard__shop=shop).select_related(
        "machine__makeup__machine_class", "machine__yard__shop", "placed_by", "owner",
        "released_by", "finding__skill",
    )  # fmt: skip
    ends: list[tuple[Hold, Notice.Kind]] = []
    for hold in rows.order_by("pk"):
        if not hold.told_held and hold.placed_at >= now - LATEST:
            ends.append((hold, HELD))
        if not hold.told_released and hold.released_at and hold.released_at >= now - LATEST:
            ends.append((hold, RELEASED))
    return _letters(shop, ends, people)


def has_news(now: datetime, machine_ids: Collection[int]) -> Exists:
    """Whether a shop has anything to tell of holds on these machines, beside a query of shops."""
    return Exists(_fresh(now, machine_ids).filter(machine__yard__shop=OuterRef("pk")))


def _fresh(now: datetime, machine_ids: Collection[int]) -> QuerySet[Hold, Any]:
    """Return the holds with an end of which nobody was told."""
    lately = (now - LATEST, now)
    rows = Hold.objects.filter(machine__in=machine_ids)
    rows = rows.annotate(told_held=_told(HELD), told_released=_told(RELEASED))
    return rows.filter(
        Q(placed_at__range=lately, told_held=False)
        | Q(released_at__range=lately, told_released=False)
    )


def _told(kind: Notice.Kind) -> Exists:
    """Whether anybody had a letter on this end of a hold."""
    return Exists(Notice.objects.filter(hold=OuterRef("pk"), kind=kind))


def _letters(
    shop: Shop, ends: Sequence[tuple[Hold, Notice.Kind]], people: Sequence[Person]
) -> list[NewNotice]:
    news = []
    for hold, kind in ends:
        cause = NoticeCause(kind, hold_id=hold.pk)
        knows = hold.released_by if kind == RELEASED else hold.placed_by
        others = [one for one in people if one != knows]
        languages = {language_for(one) for one in others}
        letters = {language: write_of_hold(hold, kind, language) for language in languages}
        news += [
            NewNotice(cause, one, shop, letters[language_for(one)], hold.machine) for one in others
        ]
    return news


def write_of_hold(hold: Hold, kind: str, language: str = settings.LANGUAGE_CODE) -> Letter:
    """Write why a machine stays, or what was put right."""
    released = kind == RELEASED
    tag = hold.machine.tag
    said = f"released: {hold.released_note}" if released else f"held: {hold.reason}"
    context = {
        "mark": mark("held"),
        "hold": hold,
        "machine": hold.machine,
        "must_be_true": must_be_true(hold),
        "who_may": who_may(hold),
        "hold_url": link("hold", hold.pk),
        "machine_url": link("machine", tag),
    }
    return write("released" if released else "held", f"{tag} {said}", context, language)
