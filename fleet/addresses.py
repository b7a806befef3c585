"""Addresses of thousands of rows on one page: worked out once, then filled in.

`reverse` looks through all addresses of the site for each, which takes longer than drawing the row.
"""

from collections.abc import Callable
from urllib.parse import quote

from django.urls import reverse

NUMBER = 1234567890987654321
"""Stands for the one thing that an address names: a number is one where a word is wanted, too."""
SAFE = "!$&'()*+,;=/~:@"
"""Characters that `reverse` leaves as they are (RFC 3986, section 3.3)."""


def reversing(name: str) -> Callable[[object], str]:
    """Return what fills the address of a name in that has one argument."""
    before, after = reverse(name, args=[NUMBER]).split(str(NUMBER))

    def filled(said: object) -> str:
        word = said if isinstance(said, int) else quote(str(said), safe=SAFE)
        return f"{before}{word}{after}"

    return filled
