"""Headings of a sheet: which row they stand in, what kind of sheet it is, which column is which."""

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise

from fleet.bring_in.sheet_kinds import FIELDS, NAMED_LIKE, NEEDS, SheetKind

Line = tuple[int, list[str]]
"""Number of a row in its sheet, from 1 on, and its cells as text."""

HEADER_WITHIN = 20
"""The heading stands among so many first rows in which something is written."""
SMALL_WORDS = {"of", "the", "de", "del", "la", "el", "le", "du", "des", "der", "die", "das", "l",
               "d", "n", "in"}  # fmt: skip
"""Words that change nothing in a heading."""
UNITS = {
    "h": "h", "hr": "h", "hrs": "h", "hour": "h", "hours": "h", "horas": "h", "heures": "h",
    "stunden": "h", "std": "h", "mi": "mi", "mile": "mi", "miles": "mi", "millas": "mi",
    "km": "km", "kms": "km", "kilometres": "km", "kilometers": "km", "kilometraje": "km",
    "kilometrage": "km", "kilometerstand": "km", "min": "min", "mins": "min", "minutes": "min",
    "minutos": "min", "minuten": "min", "cycles": "cycles", "ciclos": "cycles",
    "zyklen": "cycles", "months": "months", "meses": "months", "mois": "months",
    "monate": "months", "days": "days", "dias": "days", "jours": "days", "tage": "days",
    "week": "week", "day": "day", "l": "l", "ltr": "l", "litre": "l", "litres": "l",
    "liter": "l", "liters": "l", "ml": "ml", "qt": "qt", "quart": "qt", "quarts": "qt",
    "gal": "gal", "gallon": "gal", "gallons": "gal", "pcs": "pcs", "pc": "pcs",
}  # fmt: skip
"""Units as headings write them -> as they are called here."""
NAME_WEIGHT = 2
"""What a hint in the sheet's name counts, in columns."""


@dataclass(frozen=True)
class Column:
    """One column that is known: where it stands, its title and the unit that its title says."""

    place: int
    title: str
    unit: str = ""


@dataclass(frozen=True)
class Heading:
    """What a sheet's heading tells; without a kind it is not one of ours.

    line: number of the heading's row; 0 where none was found.
    """

    line: int
    titles: list[str]
    kind: SheetKind | None = None
    columns: dict[str, Column] = field(default_factory=dict)

    @property
    def lacks(self) -> list[str]:
        """Fields of which the kind needs one, and none is there."""
        if self.kind is None:
            return []
        return [group[0] for group in NEEDS[self.kind] if not self.columns.keys() & set(group)]


def plain(text: str) -> str:
    """Return a text without case, accents, marks and what stands in brackets."""
    bare = re.sub(r"[(\[].*?[)\]]", " ", text.lower().replace("ß", "ss"))
    bare = "".join(c for c in unicodedata.normalize("NFKD", bare) if not unicodedata.combining(c))
    return " ".join(re.sub(r"[^\w&]+|_", " ", bare).split())


def unit_of_title(title: str) -> str:
    """Return the unit that a title says, in brackets or among its words; "" for none."""
    low = title.lower()
    bracketed = " ".join(re.findall(r"[(\[](.*?)[)\]]", low))
    for text in (bracketed, plain(title)):
        words = re.findall(r"[a-z]+", plain(text))
        if found := next((UNITS[word] for word in reversed(words) if word in UNITS), ""):
            return found
    return ""


@lru_cache(maxsize=4096)
def _words(text: str) -> frozenset[str]:
    return frozenset(text.split()) - SMALL_WORDS


@lru_cache(maxsize=64)
def _known(kind: SheetKind) -> tuple[dict[str, list[str]], dict[frozenset[str], list[str]]]:
    """Return the fields by heading, and by the heading's words in any order."""
    exact: dict[str, list[str]] = {}
    loose: dict[frozenset[str], list[str]] = {}
    for name, known in FIELDS[kind].items():
        for word in (*known.words, known.label):
            exact.setdefault(plain(word), []).append(name)
            loose.setdefault(_words(plain(word)), []).append(name)
    return exact, loose


def field_of(title: str, kind: SheetKind, taken: Iterable[str] = ()) -> str:
    """Return the field that a title means in a sheet of a kind; "" for none."""
    exact, loose = _known(kind)
    name, taken = plain(title), set(taken)
    if not name:
        name = plain(re.sub(r"[()\[\]]", " ", title))
    less_unit = " ".join(word for word in name.split() if word not in UNITS)
    for found in (exact.get(name), loose.get(_words(name)), exact.get(less_unit)):
        for each in found or ():
            if each not in taken:
                return each
    return ""


def columns_of(titles: Sequence[str], kind: SheetKind) -> dict[str, Column]:
    """Return the fields of a kind that a row of titles has."""
    found: dict[str, Column] = {}
    for place, title in enumerate(titles):
        if title.strip() and (name := field_of(title, kind, found)):
            found[name] = Column(place, title.strip(), unit_of_title(title))
    return found


def find_heading(head: Sequence[Line], name: str = "", kind: SheetKind | None = None) -> Heading:
    """Find the heading among the first rows of a sheet.

    kind: what the sheet is, where somebody said it.  A row that has all that a kind needs wins, by
    the number of its columns; of two that have as many, the first.
    """
    best, best_score = Heading(0, []), 0.0
    for line, titles in _candidates(head):
        for one in [kind] if kind else list(SheetKind):
            heading = Heading(line, titles, one, columns_of(titles, one))
            score = _score(heading, name)
            if score > best_score:
                best, best_score = heading, score
    if best_score:
        return best
    line, titles = _first_titles(head)
    return Heading(line, titles, kind, columns_of(titles, kind) if kind else {})


def _candidates(head: Sequence[Line]) -> list[Line]:
    """Return the first rows, then each joined with the next: a heading may take two rows."""
    written = [(line, cells) for line, cells in head if any(cell.strip() for cell in cells)]
    written = written[:HEADER_WITHIN]
    joined = [(after, _joined(upper, lower)) for (_, upper), (after, lower) in pairwise(written)]
    return [*written, *joined]


def _joined(upper: list[str], lower: list[str]) -> list[str]:
    """Join two rows of titles; a merged cell above stands over all columns to its right."""
    above, titles = "", []
    for place in range(max(len(upper), len(lower))):
        over = upper[place].strip() if place < len(upper) else ""
        under = lower[place].strip() if place < len(lower) else ""
        above = over or above
        titles.append(f"{above} {under}".strip() if under else over)
    return titles


def _score(heading: Heading, name: str) -> float:
    assert heading.kind is not None
    if heading.lacks or len(heading.columns) < 2:
        return 0.0
    hints = set(NAMED_LIKE[heading.kind].split())
    hinted = bool(hints & set(re.findall(r"[a-z]+", plain(name))))
    foreign = {
        SheetKind.MACHINES: {"service", "customer"},
        SheetKind.READINGS: {"service", "customer"},
        SheetKind.SERVICES: {"customer"},
    }.get(heading.kind, set())
    others = [other for other in SheetKind if other is not heading.kind]
    strange = any(
        foreign & columns_of(heading.titles, other).keys()
        for other in others
        if foreign and other in (SheetKind.SERVICES, SheetKind.BOOKINGS)
    )
    return len(heading.columns) + NAME_WEIGHT * hinted - 1.5 * strange


def _first_titles(head: Sequence[Line]) -> tuple[int, list[str]]:
    """Return the first row that looks like titles: several cells, none of them a number."""
    for line, cells in head:
        filled = [cell for cell in cells if cell.strip()]
        if len(filled) > 1 and not any(re.fullmatch(r"[\d.,\s]+", cell) for cell in filled):
            return line, cells
    return next(((line, cells) for line, cells in head if any(cells)), (0, []))


def repeats(cells: Sequence[str], titles: Sequence[str]) -> bool:
    """Whether a row says the titles again, in part or whole: no row of data does."""
    filled = [(place, plain(cell)) for place, cell in enumerate(cells) if cell.strip()]
    if len(filled) < 2:
        return False
    return all(place < len(titles) and plain(titles[place]) == text for place, text in filled)
