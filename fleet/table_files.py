"""A table as a file: CSV (RFC 4180) and XLSX (ECMA-376), which no spreadsheet runs as a formula.

Text that begins like a formula gets an apostrophe before it in CSV, as OWASP advises under "CSV
Injection" (https://owasp.org/www-community/attacks/CSV_Injection); in XLSX it is a cell of text.
"""

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from io import BytesIO, StringIO

from openpyxl import Workbook
from openpyxl.styles import Font

from fleet.change_export import plain

Cell = str | int | float | date | None

TYPES = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}
"""Kind of file -> its media type."""

TIDY = str.maketrans({n: " " for n in range(32) if n not in (9, 10, 13)})
"""Characters that no XLSX may hold."""


@dataclass(frozen=True)
class TableOfCells:
    """What goes into a file: its name, the titles of its columns, its rows."""

    name: str
    titles: Sequence[str]
    rows: Sequence[Sequence[Cell]]


def as_file(table: TableOfCells, kind: str) -> bytes:
    """Return the table as a file of a kind of TYPES."""
    return _csv(table) if kind == "csv" else _xlsx(table)


def _csv(table: TableOfCells) -> bytes:
    text = StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(table.titles)
    writer.writerows([[_said(cell) for cell in row] for row in table.rows])
    # the mark at the start tells a spreadsheet that it is UTF-8
    return ("\ufeff" + text.getvalue()).encode()


def _said(cell: Cell) -> str | int | float:
    if cell is None:
        return ""
    if isinstance(cell, int | float):
        return cell
    return cell.isoformat() if isinstance(cell, date) else plain(cell)


def _xlsx(table: TableOfCells) -> bytes:
    book = Workbook()
    sheet = book.active
    assert sheet is not None  # a new book has one
    sheet.title = table.name[:31]
    for at, row in enumerate([table.titles, *table.rows], start=1):
        for column, value in enumerate(row, start=1):
            cell = sheet.cell(at, column)
            cell.value = value.translate(TIDY) if isinstance(value, str) else value
            if isinstance(value, str):
                cell.data_type = "s"
            if at == 1:
                cell.font = Font(bold=True)
    sheet.freeze_panes = "A2"
    out = BytesIO()
    book.save(out)
    return out.getvalue()
