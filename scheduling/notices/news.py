"""Letters that list things of one kind: written when something is new on the list, else not.

What a letter told stays told while it stands (`Notice.tells`); what is gone is let go each night,
so that the same thing coming back is told again.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from fleet.models import Person, Shop
from scheduling.models import Notice
from scheduling.notices.causes import cause_of_day
from scheduling.notices.letter import Letter, language_for, write
from scheduling.notices.posting import NewNotice, put

LONGEST = 20
"""Lines of one letter; the page that it leads to shows the rest."""


@dataclass(frozen=True)
class NewsLine:
    """One thing: what is to be known of it, its page, its machine's tag, and where that is."""

    text: str
    url: str = ""
    tag: str = ""
    where: str = ""


@dataclass(frozen=True)
class News:
    """A list to tell: its kind, the things by key, and the words around them.

    subject and sentence take {count}: how many things are new.
    """

    kind: Notice.Kind
    lines: Mapping[str, NewsLine]
    subject: str
    sentence: str
    do: str = ""
    page_url: str = ""


def tell_news(shop: Shop, news: News, people: Iterable[Person], day: date, now: datetime) -> int:
    """Write to each person what is new to them; return how many letters were made."""
    return sum(_tell(shop, news, person, day, now) for person in people)


def _tell(shop: Shop, news: News, person: Person, day: date, now: datetime) -> bool:
    rows = Notice.objects.filter(shop=shop, kind=news.kind, person=person)
    last = rows.order_by("-made_at", "-pk").first()
    before = set(last.tells) if last else set()
    fresh = [key for key in news.lines if key not in before]
    if last and before - news.lines.keys():
        still = [key for key in last.tells if key in news.lines]
        Notice.objects.filter(pk=last.pk).update(tells=still)
    if not fresh:
        return False
    cause = cause_of_day(news.kind, day)
    number = rows.filter(day=day).count()
    letter = _letter(news, [news.lines[key] for key in fresh], language_for(person))
    new = NewNotice(cause, person, shop, letter, round=number, tells=list(news.lines))
    return put(new, now) is not None


def _letter(news: News, lines: list[NewsLine], language: str) -> Letter:
    return write(
        "lines",
        news.subject.format(count=len(lines)),
        {
            "sentence": news.sentence.format(count=len(lines)),
            "lines": lines[:LONGEST],
            "more": max(len(lines) - LONGEST, 0),
            "do": news.do,
            "page_url": news.page_url,
        },
        language,
    )
