"""How a hand can sign in, and where they did."""

from dataclasses import dataclass

from fleet.hand_words import bare_code, kept_of
from fleet.models import HandKey, HandKeyKind, HandKeyUse, Person, Role

SHOWN = 12
"""Sign-ins that are shown."""


@dataclass(frozen=True)
class HandWays:
    """The keys that stand, and the last uses of any."""

    code: HandKey | None
    link: HandKey | None
    uses: list[HandKeyUse]


def ways_of(person: Person) -> HandWays:
    """Return a hand's keys and the last sign-ins; two queries."""
    keys = {key.kind: key for key in HandKey.objects.filter(person=person, revoked_at=None)}
    uses = HandKeyUse.objects.filter(key__person=person).select_related("key")[:SHOWN]
    return HandWays(keys.get(HandKeyKind.CODE), keys.get(HandKeyKind.LINK), list(uses))


def key_of_code(typed: str) -> HandKey | None:
    """Return the key that a typed code is, if it stands."""
    return _standing(HandKeyKind.CODE, bare_code(typed))


def key_of_link(word: str) -> HandKey | None:
    """Return the key that the word of a link is, if it stands."""
    return _standing(HandKeyKind.LINK, word)


def _standing(kind: HandKeyKind, word: str) -> HandKey | None:
    rows = HandKey.objects.filter(kind=kind, digest=kept_of(word), revoked_at=None)
    rows = rows.filter(person__role=Role.HAND, person__is_active=True)
    return rows.select_related("person").first()


def has_no_key(person: Person) -> bool:
    """Whether this is a hand who has no way to sign in yet."""
    return person.role == Role.HAND and not person.hand_keys.filter(revoked_at=None).exists()
