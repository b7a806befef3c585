"""A choice that is searched by typing, on a set-up sheet, whatever was sent for it."""

from collections.abc import Sequence
from typing import Any

from django.contrib.admin.widgets import AutocompleteSelect

LONGEST = 18
"""Digits of the number of a row."""


class TypedChoice(AutocompleteSelect):
    """Django's looks up what was sent to show it again, and fails where that is no number."""

    def optgroups(self, name: str, value: Sequence[str], attr: Any = None) -> Any:
        """Show the chosen rows; what is no number of a row is none of them."""
        known = [one for one in value if not one or _is_number(str(one))]
        return super().optgroups(name, known, attr)


def _is_number(word: str) -> bool:
    return word.isdecimal() and len(word) <= LONGEST
