"""Hard limits of what is read: a file's size, what it unpacks to, rows and cells.

A workbook is a ZIP of XML: a small one can unpack to gigabytes (a "ZIP bomb", CWE-409) and its XML
can define words that multiply (CWE-776).  Both are refused before anything of them is unpacked or
parsed; `defusedxml`, which openpyxl takes where it is there, refuses what is hidden deeper.
"""

from collections.abc import Iterator
from io import BytesIO
from zipfile import BadZipFile, ZipFile, ZipInfo

from fleet.intake.headers import FileRefused

MEGABYTE = 1024 * 1024
MOST_BYTES = 48 * MEGABYTE
"""A file as it comes: a million readings with tag, date, meter and a name have about 40."""
MOST_UNPACKED = 400 * MEGABYTE
"""All parts of a workbook together: a million rows of readings take about half of it."""
MOST_SHARED = 60 * MEGABYTE
"""The texts that cells share, all of which are held at once."""
MOST_RATIO = 120
"""Times that a part may be larger unpacked; rows of one and the same number come to about 60."""
SMALL_PART = 4 * MEGABYTE
"""A part of this size is harmless however tightly it is packed."""
MOST_PARTS = 2000
"""Parts of one workbook."""
MOST_ROWS = 1_100_000
"""Rows of one file; a sheet of a workbook ends at 1,048,576."""
MOST_COLUMNS = 200
"""Columns that are looked at; no list of an owner has more."""
MOST_CELLS = 25_000_000
"""Cells of one file."""
HEAD = 64 * 1024
"""Bytes at the head of each part of XML in which a document type would stand."""

Cells = Iterator[tuple[int, list[str]]]


def refuse_large(size: int, name: str) -> None:
    """Refuse a file that is too large to be read.

    Raises:
        FileRefused: with its size and what to do.

    """
    if size > MOST_BYTES:
        raise FileRefused(
            f"{name} has {size / MEGABYTE:,.0f} MB; at most {MOST_BYTES // MEGABYTE} MB are read."
            " Split it into several files."
        )


def check_packed(content: bytes, name: str) -> None:
    """Refuse a workbook that unpacks to too much, or whose XML defines entities.

    Raises:
        FileRefused: with a sentence for the person who gave it.

    """
    try:
        with ZipFile(BytesIO(content)) as packed:
            parts = packed.infolist()
            _check_sizes(parts, name)
            for part in parts:
                if part.filename.endswith((".xml", ".rels", ".vml")):
                    _check_head(packed, part, name)
    except (BadZipFile, ValueError, OSError, EOFError, NotImplementedError, RuntimeError) as error:
        raise FileRefused(
            f"{name} is damaged or not a workbook; save it once more as .xlsx or CSV."
        ) from error


def _check_sizes(parts: list[ZipInfo], name: str) -> None:
    too_large = FileRefused(
        f"{name} unpacks to far more than a workbook holds, so it is not opened."
        " Save its sheets as CSV, or split it."
    )
    if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > MOST_UNPACKED:
        raise too_large
    for part in parts:
        tight = part.file_size > MOST_RATIO * max(part.compress_size, 1)
        if part.file_size > SMALL_PART and tight:
            raise too_large
        if part.filename.endswith("sharedStrings.xml") and part.file_size > MOST_SHARED:
            raise too_large


def _check_head(packed: ZipFile, part: ZipInfo, name: str) -> None:
    """No part of a workbook has a document type (ECMA-376 part 2, 8.1.4 forbids it)."""
    with packed.open(part) as opened:
        head = opened.read(HEAD).replace(b"\x00", b"")
    if b"<!DOCTYPE" in head or b"<!ENTITY" in head:
        raise FileRefused(
            f"{name} defines XML entities, which no workbook needs, so it is not opened."
            " Save it again as .xlsx, or as CSV."
        )


def within_limits(cells: Cells, name: str) -> Cells:
    """Pass rows on as long as there are not too many of them or of their cells.

    Raises:
        FileRefused: at the row with which a limit is passed.

    """
    seen = 0
    for count, (line, texts) in enumerate(cells, start=1):
        seen += len(texts)
        if count > MOST_ROWS or seen > MOST_CELLS:
            raise FileRefused(
                f"{name} has more than {MOST_ROWS:,} rows or {MOST_CELLS:,} cells;"
                " split it into several files."
            )
        yield line, texts[:MOST_COLUMNS]
