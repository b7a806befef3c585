"""Files of readings into rows: CSV in the ways that offices write it, and XLSX.

What a file is, its first bytes say; its name may say anything.
"""

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from io import StringIO
from pathlib import Path

from fleet.intake.file_limits import check_packed, refuse_large, within_limits
from fleet.intake.headers import Columns, FileRefused, find_columns, refuse_columns
from fleet.intake.reading_rows import ReadingRow, row_of
from fleet.intake.sheets import sheet_cells
from fleet.numerals import Commas

ZIP = b"PK\x03\x04"
OLE = b"\xd0\xcf\x11\xe0"
"""An XLSX with a password, or a workbook of before 2007."""
SEPARATORS = ";\t,"
HEAD_LENGTH = 20_000
"""Characters in which the header is looked for."""
HEADER_WITHIN = 10
"""The header row stands among so many first rows; titles may stand above it."""

Cells = Iterator[tuple[int, list[str]]]


@dataclass(frozen=True)
class FileRows:
    """The rows of a file, and what a comma in its numbers means (None: as in the yard)."""

    rows: Iterator[ReadingRow]
    commas: Commas | None = None


def open_file(path: Path) -> FileRows:
    """Read a file of readings.

    Raises:
        FileRefused: it is not there, or no such file; the sentence says how to mend it.

    """
    content = read_content(path)
    if is_workbook(content, path.name):
        return FileRows(_rows(sheet_cells(content, path.name)))
    text = decoded(content, path.name)
    mark = _separator(text)
    commas = Commas.DECIMAL if mark == ";" else None
    return FileRows(_rows(csv_cells(text, mark, path.name)), commas)


def read_content(path: Path) -> bytes:
    """Return what is in a file.

    Raises:
        FileRefused: it is not there, cannot be opened, is empty or too large.

    """
    if path.is_dir():
        raise FileRefused(f"{path} is a folder; name the file in it.")
    try:
        refuse_large(path.stat().st_size, path.name)
        content = path.read_bytes()
    except FileNotFoundError:
        raise FileRefused(f"There is no file {path}; look at its name and folder.") from None
    except OSError as error:
        raise FileRefused(f"{path} cannot be opened: {error.strerror}.") from error
    return content


def is_workbook(content: bytes, name: str) -> bool:
    """Whether a file is an XLSX workbook, by its first bytes, and not CSV.

    Raises:
        FileRefused: it is empty, locked, or a workbook of before 2007.

    """
    refuse_large(len(content), name)
    if not content.strip(b"\x00 \t\r\n\xef\xbb\xbf"):
        raise FileRefused(f"{name} is empty.")
    if content.startswith(OLE):
        raise FileRefused(
            f"{name} is locked with a password, or in the old .xls form;"
            " save it as .xlsx without a password, or as CSV."
        )
    return content.startswith(ZIP)


def check_at_door(content: bytes, name: str) -> None:
    """Refuse at once what could never be read: too large, empty, locked, a bomb, entities.

    Raises:
        FileRefused: with a sentence.

    """
    if is_workbook(content, name):
        check_packed(content, name)


def decoded(content: bytes, name: str) -> str:
    """Decode by byte order mark, else UTF-8, else Windows' 1252 or Latin-1, which all bytes fit."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        try:
            return content.decode("utf-16")
        except UnicodeDecodeError:
            raise FileRefused(f"{name} breaks off or is damaged; save it once more.") from None
    if b"\x00" in content:
        raise FileRefused(f"{name} is neither text nor XLSX; save it as CSV or XLSX.")
    for encoding in ("utf-8-sig", "cp1252"):
        try:
            return content.decode(encoding)
        except UnicodeDecodeError:
            continue
    return content.decode("latin-1")


def _separator(text: str) -> str:
    """Return what parts the columns: with which a header is found, else what there is most of."""
    head = text[:HEAD_LENGTH].splitlines()[:HEADER_WITHIN]
    for mark in SEPARATORS:
        if any(find_columns(cells) for cells in csv.reader(head, delimiter=mark)):
            return mark
    return max(SEPARATORS, key="".join(head).count)


def csv_cells(text: str, mark: str, name: str) -> Cells:
    """Return line numbers and texts of CSV with a separator."""
    return within_limits(_csv_lines(text, mark, name), name)


def _csv_lines(text: str, mark: str, name: str) -> Cells:
    reader = csv.reader(StringIO(text, newline=""), delimiter=mark)
    first = 1
    try:
        for cells in reader:
            yield first, cells
            first = reader.line_num + 1
    except csv.Error as error:
        raise FileRefused(f"{name} cannot be read from line {first} on: {error}.") from error


def _rows(cells: Cells) -> Iterator[ReadingRow]:
    """Find the header, then make a row of each line below it; both at once, so errors come now."""
    head = []
    for _ in range(HEADER_WITHIN):
        if (line := next(cells, None)) is None:
            break
        head.append(line)
        if columns := find_columns(line[1]):
            return _below(cells, columns)
    first = next((names for _, names in head if any(name.strip() for name in names)), [])
    raise refuse_columns(first)


def _below(cells: Cells, columns: Columns) -> Iterator[ReadingRow]:
    for line, texts in cells:
        row = row_of(texts, columns, line)
        if row is not None:
            yield row
