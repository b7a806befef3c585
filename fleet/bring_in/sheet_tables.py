"""A file as tables of text: one of CSV, as many of XLSX as it has sheets.

What is read is laid down in a temporary file, so that a million rows can be gone through more than
once without being held in memory.
"""

import csv
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from io import StringIO
from itertools import islice
from pathlib import PurePath
from tempfile import SpooledTemporaryFile
from typing import Any
from weakref import finalize

from fleet.bring_in.headings import HEADER_WITHIN, Line, find_heading
from fleet.intake.files import csv_cells, decoded, is_workbook
from fleet.intake.headers import FileRefused
from fleet.intake.sheets import open_sheets

IN_MEMORY = 2 * 1024 * 1024
"""Bytes of a table that are not yet worth a file on disk."""
LAID_DOWN = 2000
"""Rows that are laid down at once."""
SEPARATORS = ";\t,|"
HEAD_LENGTH = 20_000
"""Characters by which the separator of CSV is found."""


@dataclass
class SheetTable:
    """The rows of one sheet in which something is written, to be gone through again and again.

    separator: of CSV; "" for a sheet of a workbook.  written: how many rows.
    """

    name: str
    separator: str = ""
    written: int = 0
    _kept: Any = field(default=None, repr=False)

    @classmethod
    def of(cls, name: str, lines: Iterable[Line], separator: str = "") -> "SheetTable":
        """Lay lines down; those without a word are left out."""
        kept = SpooledTemporaryFile(  # noqa: SIM115  lives as long as the table
            IN_MEMORY, mode="w+", newline="", encoding="utf-8", errors="replace"
        )
        table = cls(name, separator, 0, kept)
        finalize(table, kept.close)
        source = iter(lines)
        while part := list(islice(source, LAID_DOWN)):
            buffer = StringIO(newline="")
            rows = [[line, *cells] for line, cells in part if _says_something(cells)]
            csv.writer(buffer).writerows(rows)
            kept.write(buffer.getvalue())
            table.written += len(rows)
        return table

    def rows(self) -> Iterator[Line]:
        """Go through the rows: line number and cells; one passage at a time."""
        self._kept.seek(0)
        for number, *cells in csv.reader(self._kept):
            yield int(number), cells

    def head(self) -> list[Line]:
        """Return the first rows, among which the heading stands."""
        return list(islice(self.rows(), HEADER_WITHIN + 1))


def _says_something(cells: list[str]) -> bool:
    first = cells[0] if cells else ""
    if first and not first.isspace():
        return True  # without a generator: this is asked of each of a million rows
    return any(cell and not cell.isspace() for cell in cells)


def open_tables(content: bytes, file_name: str) -> list[SheetTable]:
    """Read a file into its tables; sheets in which nothing is written are left out.

    Raises:
        FileRefused: it is too large, damaged, or no such file.

    """
    if is_workbook(content, file_name):
        tables = [SheetTable.of(name, lines) for name, lines in open_sheets(content, file_name)]
    else:
        text = decoded(content, file_name)
        mark = separator_of(text)
        name = PurePath(file_name).stem or "file"
        tables = [SheetTable.of(name, csv_cells(text, mark, file_name), mark)]
    tables = [table for table in tables if table.written]
    if not tables:
        raise FileRefused(f"{file_name} has no row in which something is written.")
    return tables


def separator_of(text: str) -> str:
    """Return what parts the columns of CSV: with which a heading is found, else the most usual."""
    head = text[:HEAD_LENGTH]
    for mark in SEPARATORS:
        rows = list(islice(csv.reader(StringIO(head, newline=""), delimiter=mark), HEADER_WITHIN))
        if find_heading(list(enumerate(rows, start=1))).kind:
            return mark
    return max(SEPARATORS[:3], key=head.count)
