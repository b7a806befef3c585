"""Cells of an XLSX workbook, as text; formulas are read as the values that were saved with them."""

import re
import warnings
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from io import BytesIO
from typing import Any
from zipfile import BadZipFile

from defusedxml.common import DefusedXmlException
from openpyxl.reader.excel import ExcelReader
from openpyxl.styles.stylesheet import apply_stylesheet
from openpyxl.utils.datetime import from_excel, from_ISO8601

from fleet.intake.file_limits import check_packed, within_limits
from fleet.intake.headers import FileRefused
from fleet.intake.sheet_parsing import SheetDamaged, sheet_rows

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
            reader = ExcelReader(BytesIO(content), read_only=True, data_only=True)
            reader.read_manifest()
            reader.read_strings()
            reader.read_workbook()
            apply_stylesheet(reader.archive, reader.wb)
            places = _places(reader)
    except FAULTS as error:
        raise damaged from error
    if not places:
        raise FileRefused(f"{name} has no sheet with cells; put the readings on one.")
    cells = CellTexts(reader)
    return [
        (title, within_limits(_rows(reader, place, cells, damaged), name))
        for title, place in places
    ]


def sheet_cells(content: bytes, name: str) -> Iterator[tuple[int, list[str]]]:
    """Return line numbers and texts of a workbook's first sheet."""
    return open_sheets(content, name)[0][1]


def _places(reader: Any) -> list[tuple[str, str]]:
    """Return title and place of each sheet with cells; openpyxl itself would read them now."""
    return [
        (sheet.name, relation.target)
        for sheet, relation in reader.parser.find_sheets()
        if relation.target in reader.valid_files and "chartsheet" not in relation.Type
    ]


def _rows(
    reader: Any, place: str, cells: "CellTexts", damaged: FileRefused
) -> Iterator[tuple[int, list[str]]]:
    try:
        with reader.archive.open(place) as opened:
            yield from sheet_rows(opened, cells.text)
    except (*FAULTS, SheetDamaged) as error:
        raise damaged from error


class CellTexts:
    """Texts of a workbook's cells by their value, type and style; each date is worked out once."""

    def __init__(self, reader: Any) -> None:
        self.shared, self.epoch = reader.shared_strings, reader.wb.epoch
        self.dates = {str(style) for style in reader.wb._date_formats}
        self.spans = {str(style) for style in reader.wb._timedelta_formats}
        self.known: dict[tuple[str, str], str] = {}

    def text(self, value: str, kind: str, style: str) -> str:
        """Return what a cell shows, as it would be typed."""
        if kind == "s":
            return str(self.shared[int(value)])
        if kind == "n":
            if style not in self.dates:
                return _number(value)
            if (value, style) not in self.known:
                self.known[value, style] = self._date(value, style)
            return self.known[value, style]
        if kind == "b":
            return str(bool(int(value)))
        return text_of(from_ISO8601(value)) if kind == "d" else value

    def _date(self, value: str, style: str) -> str:
        try:
            return text_of(from_excel(float(value), self.epoch, timedelta=style in self.spans))
        except (OverflowError, ValueError):
            return value


def _number(value: str) -> str:
    """Return a number as it would be typed; whole ones need no point."""
    if value.isdigit():
        return value
    return text_of(float(value))


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
