"""Many labels as several files, each of whole sheets: thousands in one take too long to make."""

from collections.abc import Sequence
from dataclasses import dataclass

PLACES = 240
"""Labels of one file: whole sheets of every paper (`label_papers`), made in two seconds."""


@dataclass(frozen=True)
class LabelPart:
    """One file: its number from 1, the labels in it, the tags of the first and the last."""

    number: int
    labels: slice
    first: str
    last: str


def parts_of(tags: Sequence[str], begins_at: int) -> list[LabelPart]:
    """Return the files that labels of these tags make.

    begins_at: places of the first sheet that are used up; every other file begins a sheet.
    """
    found = []
    for number, place in enumerate(range(0, len(tags) + begins_at, PLACES), start=1):
        within = slice(max(place - begins_at, 0), place + PLACES - begins_at)
        if some := tags[within]:
            found.append(LabelPart(number, within, some[0], some[-1]))
    return found
