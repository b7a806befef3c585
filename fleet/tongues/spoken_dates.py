"""Days and months of our own dates ("Thu 3 Dec 2026, 14:05") in the language of the page.  Pure.

The names are looked up in the catalogue like other words; Spanish has the same order of day and
month, and writes both small.
"""

import re

from django.utils.translation import gettext

from fleet.saying import MONTH, WEEKDAY

LONG_MONTH = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip
_NAMES = "|".join((*LONG_MONTH, *MONTH))
DATE = re.compile(
    rf"(?:(?:{'|'.join(WEEKDAY)}) )?\d{{1,2}}(?: (?:{_NAMES})(?: \d{{4}})?)?(?:, \d{{2}}:\d{{2}})?"
)
_WORD = re.compile("[A-Z][a-z]+")


def spoken_date(date: str) -> str:
    """Return one of our dates with the names of its day and month translated."""
    return _WORD.sub(lambda word: gettext(word[0]), date)
