"""Refused rows as a file like the one that came, with the reason beside each, to be mended."""

import csv
import re
from collections.abc import Iterable
from io import BytesIO, StringIO
from itertools import groupby
from typing import Any

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell

from fleet.models import Import, ImportRefusal

CONTROLS = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")
"""What no workbook holds."""
REASON = "Why it was refused"
"""Title of the added column; no field of ours, so it is passed over when the file comes again."""


def refused_file(kept: Import, refusals: Iterable[ImportRefusal]) -> tuple[str, bytes]:
    """Return name and content: XLSX, or CSV where the file was CSV."""
    titles = {sheet["name"]: sheet for sheet in kept.sheets}
    stem, _, ending = kept.file_name.rpartition(".")
    name = f"{stem or kept.file_name}-to-mend"
    if ending.lower() != "xlsx":
        return f"{name}.csv", _csv(titles, refusals)
    return f"{name}.xlsx", _workbook(titles, refusals)


def _rows(sheet: dict[str, Any], refusals: Iterable[ImportRefusal]) -> Iterable[list[str]]:
    """Return heading and rows; the reason stands behind the last column of all."""
    titles = list(sheet.get("titles", []))
    while titles and titles[-1] == REASON:
        titles.pop()  # a file to mend that came again
    yield [*titles, REASON]
    for one in refusals:
        cells = [*one.cells[: len(titles)], *[""] * (len(titles) - len(one.cells))]
        yield [*cells, one.reason]


def _csv(titles: dict[str, Any], refusals: Iterable[ImportRefusal]) -> bytes:
    text = StringIO(newline="")
    for name, rows in groupby(refusals, lambda one: one.sheet):
        mark = titles.get(name, {}).get("separator") or ","
        csv.writer(text, delimiter=mark).writerows(_rows(titles.get(name, {}), rows))
    return ("\ufeff" + text.getvalue()).encode()


def _workbook(titles: dict[str, Any], refusals: Iterable[ImportRefusal]) -> bytes:
    book = Workbook(write_only=True)
    for name, rows in groupby(refusals, lambda one: one.sheet):
        sheet = book.create_sheet(name[:31])
        for row in _rows(titles.get(name, {}), rows):
            sheet.append([_as_text(sheet, cell) for cell in row])
    if not book.worksheets:
        book.create_sheet("Nothing refused")
    kept = BytesIO()
    book.save(kept)
    return kept.getvalue()


def _as_text(sheet: Any, text: str) -> Any:
    """Return a cell that stays text: what begins with = is no formula of ours."""
    cell = WriteOnlyCell(sheet, value=CONTROLS.sub("", text))
    cell.data_type = "s"
    return cell
