"""Rows of a sheet's XML, a piece at a time: what is read is let go of at once.

The usual reader makes an object of each cell and keeps a tree of them; of a million rows that
takes minutes, and gigabytes where a sheet does not say its size.  Here expat calls for each cell
(ECMA-376 part 1, 18.3.1.4), and a row is handed on when it is whole.  Entities and document types
are refused.
"""

from collections.abc import Callable, Iterator
from typing import Any, BinaryIO
from xml.parsers import expat

from fleet.intake.file_limits import MOST_COLUMNS, MOST_ROWS

PIECE = 256 * 1024
LETTERS = 26
Cells = tuple[int, list[str]]


class SheetDamaged(Exception):
    """The XML of a sheet breaks off, or is none, or defines entities."""


class _Rows:
    """What the parser calls: it gathers cells into rows."""

    def __init__(self, text_of_cell: Callable[[str, str, str], str]) -> None:
        self.text_of_cell = text_of_cell
        self.whole: list[Cells] = []
        self.line = 0
        self.cells: list[str] = []
        self.column = 0
        self.kind = self.style = ""
        self.parts: list[str] = []
        self.reading = False

    def start(self, name: str, given: dict[str, str]) -> None:
        tag = name.rpartition(":")[2]
        if tag == "c":
            place = given.get("r", "")
            self.column = _column(place) if place else self.column + 1
            self.kind, self.style = given.get("t", "n"), given.get("s", "0")
            self.parts = []
        elif tag == "v" or tag == "t":  # noqa: PLR1714  plain comparisons are the faster
            self.reading = True
        elif tag == "row":
            number = given.get("r", "")
            self.line = int(number) if number else self.line + 1
            if self.line > 2 * MOST_ROWS:
                raise SheetDamaged
            self.cells, self.column = [], 0

    def data(self, text: str) -> None:
        if self.reading:
            self.parts.append(text)

    def end(self, name: str) -> None:
        tag = name.rpartition(":")[2]
        if tag == "c":
            if self.parts and self.column <= MOST_COLUMNS:
                text = self.text_of_cell("".join(self.parts), self.kind, self.style)
                missing = self.column - 1 - len(self.cells)
                if missing > 0:
                    self.cells += [""] * missing
                self.cells.append(text)
        elif tag == "v" or tag == "t":  # noqa: PLR1714
            self.reading = False
        elif tag == "row" and self.cells:
            self.whole.append((self.line, self.cells))


def _column(place: str) -> int:
    """Return the number of a column: 28 for AB7."""
    number = 0
    for sign in place:
        if not sign.isalpha():
            break
        number = number * LETTERS + ord(sign) - 64
    return number


def sheet_rows(opened: BinaryIO, text_of_cell: Callable[[str, str, str], str]) -> Iterator[Cells]:
    """Return line numbers and texts of a sheet; rows and cells without a value are left out.

    text_of_cell: makes text of a value as it is written, its type and the number of its style.

    Raises:
        SheetDamaged: at the row where it turns out.

    """
    rows = _Rows(text_of_cell)
    parser: Any = expat.ParserCreate()
    parser.buffer_text = True
    parser.StartElementHandler, parser.EndElementHandler = rows.start, rows.end
    parser.CharacterDataHandler = rows.data
    parser.StartDoctypeDeclHandler = parser.EntityDeclHandler = _refuse
    try:
        while piece := opened.read(PIECE):
            parser.Parse(piece, False)
            yield from rows.whole
            rows.whole.clear()
        parser.Parse(b"", True)
    except expat.ExpatError as error:
        raise SheetDamaged from error
    yield from rows.whole


def _refuse(*_: object) -> None:
    raise SheetDamaged
