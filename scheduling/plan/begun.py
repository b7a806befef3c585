"""Work under way: how much of it is done, how much is left, and in whose hands it is."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from fleet.models import Progress, Shop

LONGEST_OPEN = timedelta(days=365)
"""Work begun longer ago is taken as never begun: nobody leaves a machine open for a year."""


@dataclass(frozen=True)
class Word:
    """What a mechanic said of work as they laid down the tools; day: of the shop."""

    person: int
    day: date
    minutes: int
    minutes_left: int


@dataclass(frozen=True)
class Begun:
    """Work under way: minutes done and left, who had it in hand last, and on which day."""

    person: int
    day: date
    minutes_done: int
    minutes_left: int


def load_words(shop: Shop, now: datetime) -> dict[str, list[Word]]:
    """Return what was said of work under way, the oldest first, by key of the work; one query."""
    rows = Progress.objects.filter(
        machine__yard__shop=shop, at__lte=now, at__gt=now - LONGEST_OPEN
    ).order_by("at", "pk")
    found: dict[str, list[Word]] = {}
    for key, person, at, minutes, left in rows.values_list(
        "work_key", "done_by_id", "at", "minutes", "minutes_left"
    ):
        day = at.astimezone(shop.zone).date()
        found.setdefault(key, []).append(Word(person, day, minutes, left))
    return found


def begun(words: Iterable[Word], last_done_on: date | None) -> Begun | None:
    """Return how work stands, or None if it was not begun since it was last done."""
    since = [word for word in words if last_done_on is None or word.day > last_done_on]
    if not since:
        return None
    last = since[-1]
    return Begun(last.person, last.day, sum(word.minutes for word in since), last.minutes_left)
