"""The pages that are said in every language of the site; all others are English throughout.

All that a mechanic or a ranch hand may open is said in their language.  A page of the others alone
is English throughout, its menu too, so that no page is half in one language and half in another.
"""

from fleet.models import Role
from fleet.models.people import Tongue
from fleet.who_may import WHO_MAY

READERS = frozenset({Role.MECHANIC, Role.HAND})
"""Who reads all that is theirs in their own language."""

FILES = frozenset(
    {"book-file", "machines-file", "order-file", "planned-done-file", "procedure-file"}
)
"""Tables to be read by other programs, which have one form."""

APART = frozenset({"interface", "metrics", "healthz"})
"""Addresses that answer programs."""

PAGES = frozenset(
    name for name, may in WHO_MAY.items() if READERS & (may.reads | may.writes)
) - (FILES | APART)  # fmt: skip
"""Names of addresses whose pages, errors and answers are all translated."""


def language_of_letter(chosen: str, role: str) -> str:
    """Return the language of the letters to a person: a mechanic's are translated, all of them."""
    return chosen if role in READERS and chosen in Tongue.values else Tongue.ENGLISH.value


def language_of_page(name: str | None, chosen: str, role: str = "") -> str:
    """Return the language in which an address answers to somebody who reads `chosen`.

    role: of who asks, if it is known; what is not for a mechanic is refused in their language.
    """
    known = name is None or name in PAGES or (role in READERS and name not in FILES | APART)
    return chosen if known and chosen in Tongue.values else Tongue.ENGLISH.value
