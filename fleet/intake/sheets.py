"""Cells of an XLSX workbook, as text; formulas are read as the values that were saved with them."""

import re
import warnings
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from io import BytesIO
from typing import Any
from zipfile import BadZipFile

from defusedxml.common import DefusedXmlException
from openpyxl import load_workbook

from fleet.intake.file_limits import MOST_COLUMNS, check_packed, within_limits
from fleet.intake.headers import FileRefused

HALF_SECOND = timedelta(seconds=0.5)
THREE_DECIMALS = re.compile(r"-?\d{1,3}\.\d{3}")
FAULTS = (
    BadZipFile, KeyError, ValueError, OSError, SyntaxError, AttributeError, EOFError, TypeError,
    IndexError, DefusedXmlException,
)  # fmt: skip
"""What openpyxl raises on a file that is no workbook."""


def open_sheets(content: bytes, name: str) -> list[tuple[str, Iterator[tuple[int, list[str]]]]]:
    """Return the sheets of a workbook in order: name, and line numbers with texts.

    Raises:
        FileRefused: it is damaged, empty, or past a limit.

    """
    check_packed(content, name)
    damaged = FileRefused(
        f"{name} is damaged or not a workbook; save it once more as .xlsx or CSV."
    )
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # openpyxl warns of styles that it does not know
            book = load_workbook(BytesIO(content), read_only=True, data_only=True)
    except FAULTS as error:
        raise damaged from error
    if not book.worksheets:
        raise FileRefused(f"{name} has no sheet with cells; put the readings on one.")
    return [(sheet.title, within_limits(_cells(sheet, damaged), name)) for sheet in book.worksheets]


def sheet_cells(content: bytes, name: str) -> Iterator[tuple[int, list[str]]]:
    """Return line numbers and texts of a workbook's first sheet."""
    return open_sheets(content, name)[0][1]


def _cells(sheet: Any, damaged: FileRefused) -> Iterator[tuple[int, list[str]]]:
    sheet.reset_dimensions()  # some programs write a wrong size, and rows would be missing
    try:
        rows = sheet.iter_rows(values_only=True, max_col=MOST_COLUMNS)
        for line, values in enumerate(rows, start=1):
            yield line, [text_of(value) for value in _written(values)]
    except FAULTS as error:
        raise damaged from error


def _written(values: tuple[Any, ...]) -> tuple[Any, ...]:
    """Cut off the empty cells at a row's end."""
    last = len(values)
    while last and values[last - 1] is None:
        last -= 1
    return values[:last]


def text_of(value: object) -> str:
    """Return a cell as it would be typed: ISO dates, numbers without a needless fraction.

    A number with three decimals gets a fourth, so that nobody takes its point for thousands.
    """
    if isinstance(value, str):
        return value
    if isinstance(value, date | time):
        return _time_text(value)
    if isinstance(value, float):
        text = str(int(value)) if value.is_integer() else str(value)
        return f"{text}0" if THREE_DECIMALS.fullmatch(text) else text
    return "" if value is None else str(value)


def _time_text(value: date | time) -> str:
    if isinstance(value, datetime):
        whole = (value + HALF_SECOND).replace(microsecond=0)
        return whole.date().isoformat() if whole.time() == time() else whole.isoformat(" ")
    return value.isoformat("minutes") if isinstance(value, time) else value.isoformat()
