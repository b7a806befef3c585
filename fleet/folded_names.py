"""Names as they are found again: without case, accents, marks and blanks."""

import re
import unicodedata
from functools import lru_cache

LONGEST_KEY = 160
"""Characters of a key; some signs (&, ligatures) become several."""


@lru_cache(maxsize=20_000)
def folded(text: str) -> str:
    """Return a name without case, accents and marks, its words parted by one blank."""
    low = text.lower().replace("&", " and ").replace("+", " and ").replace("ß", "ss")
    bare = "".join(c for c in unicodedata.normalize("NFKD", low) if not unicodedata.combining(c))
    return " ".join(re.sub(r"[^a-z0-9\u0370-\uffff]+", " ", bare).split())


def squeezed(text: str) -> str:
    """Return a name without blanks too: MX 02, mx-02 and MX02 are one."""
    return folded(text).replace(" ", "")


def name_key(text: str) -> str:
    """Return that by which a name is found again; never empty where something is written.

    A name of signs alone ("???") is its own key.
    """
    return (squeezed(text) or " ".join(text.casefold().split()))[:LONGEST_KEY]


def phone_key(text: str) -> str:
    """Return the digits of a telephone number without leading noughts.

    +1 (406) 555-0142, 001 406 555 0142 and 1-406-555-0142 are one number.
    """
    return "".join(sign for sign in text if sign in "0123456789").lstrip("0")[:40]
