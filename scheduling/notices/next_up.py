"""A warning that nobody answered goes to the next person up.

What the desk was told goes to the shop's managers, then to those who look after all shops.  Of a
hold and of a decision against a block the managers heard with everybody else, so it goes to those
who stand above them: who look after all shops, and the owner.  Whoever did it knows.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from fleet.models import Person, Shop
from fleet.saying import joined
from scheduling.models import LetterHours, Notice
from scheduling.notices.addressees import managers
from scheduling.notices.causes import CAUSE_FIELDS, NoticeCause
from scheduling.notices.letter import link, write
from scheduling.notices.open_warnings import open_warnings
from scheduling.notices.posting import NewNotice, put

LATEST = timedelta(days=7)
"""What was told longer ago is not told on."""
HOURS = 24
"""Hours without an answer, where the next person up said nothing else (our judgement)."""
FIRST, SECOND = 1, 2
"""Rounds of the letters to the next people up, and to those above them."""
DESKS = (Notice.Kind.AT_RISK, Notice.Kind.LATE)
"""Kinds that the desk is told first; of the others all hear at once."""


@dataclass(frozen=True)
class _Above:
    """Who stands above in each shop, how long each lets a warning be open, who was told."""

    managers: dict[Shop, list[Person]]
    patience: dict[int, timedelta]
    told: set[tuple[int | None, int]]

    def waits(self, person: Person) -> timedelta:
        return self.patience.get(person.pk, timedelta(hours=HOURS))


def tell_next_up(now: datetime) -> int:
    """Tell the next people up of warnings that are open too long; one query where none is.

    Three queries and one a shop where some are open, however many those are.
    """
    by_cause: dict[tuple[object, ...], list[Notice]] = defaultdict(list)
    for notice in open_warnings(now - LATEST):
        cause = tuple(getattr(notice, name) for name in CAUSE_FIELDS)
        by_cause[(notice.shop_id, notice.round, *cause)].append(notice)
    if not by_cause:
        return 0
    above = _above([one for same in by_cause.values() for one in same])
    return sum(_tell(same, above, now) for same in by_cause.values())


def _above(notices: Sequence[Notice]) -> _Above:
    shops = {one.shop for one in notices}
    hours = LetterHours.objects.values_list("person_id", "unanswered_hours")
    told = Notice.objects.filter(kind=Notice.Kind.UNANSWERED, about__in=notices)
    return _Above(
        {shop: list(managers(shop)) for shop in shops},
        {pk: timedelta(hours=number) for pk, number in hours},
        set(told.values_list("about_id", "person_id")),
    )


def _tell(same: Sequence[Notice], above: _Above, now: datetime) -> int:
    """Tell of one cause, however many had a letter on it."""
    first = same[0]
    reached = min(one.reached_at for one in same)  # type: ignore[attr-defined]
    had = {one.person_id for one in same}
    pks = {one.pk for one in same}
    told = {person for about, person in above.told if about in pks}
    made = 0
    for number, person in _next_people(first, above.managers[first.shop], had):
        if person.pk not in told and now - reached >= number * above.waits(person):
            made += put(_letter(same, person, number), now) is not None
    return made


def _next_people(
    notice: Notice, people: Sequence[Person], had: set[int]
) -> Iterator[tuple[int, Person]]:
    """Yield each person above those who had a letter, with how far above."""
    if notice.kind in DESKS:
        own = [one for one in people if one.shop_id] or people
        yield from ((FIRST, one) for one in own if one.pk not in had)
        all_shops = [one for one in people if one.shop_id is None and one not in own]
        yield from ((SECOND, one) for one in all_shops if one.pk not in had)
        return
    lowest = min((_rank(one) for one in people if one.pk in had), default=0)
    knows = _who_did_it(notice)
    yield from ((FIRST, one) for one in people if _rank(one) > lowest and one.pk != knows)


def _rank(person: Person) -> int:
    """Return how far up a manager stands: of a shop, of all shops, the owner."""
    if person.owns:
        return 3
    return 1 if person.shop_id else 2


def _who_did_it(notice: Notice) -> int | None:
    if notice.override is not None:
        return notice.override.by_id
    if notice.hold is None:
        return None
    if notice.kind == Notice.Kind.RELEASED:
        return notice.hold.released_by_id
    return notice.hold.placed_by_id


def _letter(same: Sequence[Notice], person: Person, number: int) -> NewNotice:
    first = same[0]
    names = list(dict.fromkeys(str(one.person) for one in same))
    letter = write(
        "unanswered",
        f"Nobody has answered: {first.subject}",
        {
            "had": joined(names),
            "several": len(names) > 1,
            "text": first.text.partition("\n--\n")[0],
            "page": link("notices"),
        },
    )
    cause = NoticeCause(Notice.Kind.UNANSWERED, about_id=first.pk, booking_id=first.booking_id)
    return NewNotice(cause, person, first.shop, letter, round=number)
