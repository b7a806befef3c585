"""Cells of the first sheet of an XLSX workbook, as text."""

import warnings
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from io import BytesIO
from typing import Any
from zipfile import BadZipFile, ZipFile

from openpyxl import load_workbook

from fleet.intake.headers import FileRefused

HALF_SECOND = timedelta(seconds=0.5)
LARGEST = 2 * 1024**3
"""Bytes that a workbook may unpack to."""


def sheet_cells(content: bytes, name: str) -> Iterator[tuple[int, list[str]]]:
    """Return line numbers and texts of a workbook's first sheet."""
    damaged = FileRefused(
        f"{name} is damaged or not a workbook; save it once more as .xlsx or CSV."
    )
    try:
        with ZipFile(BytesIO(content)) as packed:
            if sum(part.file_size for part in packed.infolist()) > LARGEST:
                raise FileRefused(f"{name} is too large; split it, or save it as CSV.")
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # openpyxl warns of styles that it does not know
            book = load_workbook(BytesIO(content), read_only=True, data_only=True)
        if not book.worksheets:
            raise FileRefused(f"{name} has no sheet with cells; put the readings on one.")
    except FileRefused:
        raise
    except (BadZipFile, KeyError, ValueError, OSError, SyntaxError, AttributeError) as error:
        raise damaged from error
    return _cells(book.worksheets[0], damaged)


def _cells(sheet: Any, damaged: FileRefused) -> Iterator[tuple[int, list[str]]]:
    sheet.reset_dimensions()  # some programs write a wrong size, and rows would be missing
    try:
        for line, values in enumerate(sheet.iter_rows(values_only=True), start=1):
            yield line, [text_of(value) for value in values]
    except (BadZipFile, KeyError, ValueError, OSError, SyntaxError, EOFError) as error:
        raise damaged from error


def text_of(value: object) -> str:
    """Return a cell as it would be typed: ISO dates, numbers without a needless fraction."""
    if value is None:
        return ""
    if isinstance(value, datetime):
        whole = (value + HALF_SECOND).replace(microsecond=0)
        return whole.date().isoformat() if whole.time() == time() else whole.isoformat(" ")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, time):
        return value.isoformat("minutes")
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)
