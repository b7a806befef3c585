"""The change log as CSV (RFC 4180), a line a value, that no spreadsheet runs as a formula.

Cells that begin like a formula get an apostrophe before them, as OWASP advises under "CSV
Injection" (https://owasp.org/www-community/attacks/CSV_Injection).
"""

import csv
from collections.abc import Iterable, Iterator
from datetime import tzinfo
from typing import Any

from fleet.models import LoggedChange

TITLES = ("when", "who", "kind", "what", "machine", "done", "field", "old", "new", "why")
FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""Beginnings that a spreadsheet may take for a formula."""


class _Line:
    """A file that hands each line back instead of keeping it."""

    def write(self, line: str) -> str:
        return line


def csv_lines(changes: Iterable[LoggedChange], zone: tzinfo) -> Iterator[str]:
    """Yield the lines one by one, so that a long log takes no memory; times are of the zone."""
    write = csv.writer(_Line()).writerow
    yield "\ufeff" + write(TITLES)
    for change in changes:
        head = [
            change.at.astimezone(zone).isoformat(timespec="minutes"),
            change.by or "",
            change.kind,
            change.subject,
            change.machine or "",
            change.act,
        ]
        for value in change.values or [{}]:
            told = [value.get(part, "") for part in ("field", "old", "new")]
            yield write([plain(cell) for cell in (*head, *told, change.reason)])


def plain(cell: Any) -> str:
    """Return a cell as text that stays text."""
    text = str(cell)
    return f"'{text}" if text.startswith(FORMULA) else text
