"""A sheet whose columns are known: its rows, cell by cell, as numbers, days and moments."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, time, tzinfo
from typing import TypeVar

from fleet.bring_in.date_cells import DateOrder, OrderSeen, day_of_text, moment_of
from fleet.bring_in.headings import Column, Heading, Line, repeats
from fleet.bring_in.number_cells import DecimalMark, mark_of, parse_cell
from fleet.bring_in.outcomes import RowTrouble, SheetReport
from fleet.bring_in.sheet_kinds import SheetKind
from fleet.bring_in.sheet_tables import SheetTable
from fleet.folded_names import folded
from fleet.intake.reading_dates import When
from fleet.intake.written_days import parse_clock

T = TypeVar("T")

DATE_FIELDS = ("date", "when", "first_day", "last_day", "started_on")
"""Fields that hold dates."""
PAST_KINDS = {SheetKind.SERVICES, SheetKind.READINGS}
"""Kinds whose dates cannot lie in the future."""
SUM_WORDS = {"total", "totals", "sum", "subtotal", "grand total", "suma", "totales", "summe",
             "gesamt", "totaux"}  # fmt: skip
"""What stands before a row of sums."""
LONGEST_SUM = 14
"""Letters of the longest of them."""
MOST_KNOWN = 20_000
"""Texts that are remembered, so that what comes again and again is looked at once."""
LOOKED_AT = 200_000
"""Rows by which the meaning of a comma is found."""


@dataclass
class TypedSheet:
    """A table with its heading, and how its numbers and dates are written.

    order: day or month first, of all its dates; seen: what its dates say of it.  rows_below,
    rows_of_data: rows under the heading, and those of them that are data, once it was looked at.
    """

    table: SheetTable
    heading: Heading
    report: SheetReport
    marks: dict[str, DecimalMark | None] = field(default_factory=dict)
    seen: OrderSeen = field(default_factory=OrderSeen)
    order: DateOrder | None = None
    rows_below: int = 0
    rows_of_data: int = 0

    @property
    def columns(self) -> dict[str, Column]:
        """The fields that the sheet has, and where."""
        return self.heading.columns

    def data(self) -> Iterator[Line]:
        """Go through the rows of data; headings that come again and sums are left out."""
        titles, enough = self.heading.titles, len(self.columns) > 2
        heads = {title.strip().casefold() for title in titles if title.strip()}
        below, data, start = 0, 0, self.heading.line
        known: set[str] = set()  # what stands first in rows that are neither headings nor sums
        for line, cells in self.table.rows():
            if line > start:
                below += 1
                first = cells[0]
                if first not in known or not any(cells[1:2]) or cells[1].isspace():
                    if _no_data(cells, titles, heads, enough=enough):
                        continue
                    head = first.strip().casefold()
                    if head and head not in heads and len(known) < MOST_KNOWN:
                        known.add(first)
                data += 1
                yield line, cells
        self.rows_below, self.rows_of_data = below, data

    def look(self, today: date) -> None:
        """Find out how numbers and dates are written: one passage over all rows."""
        past = today if self.heading.kind in PAST_KINDS else None
        places = [c.place for name, c in self.columns.items() if name in DATE_FIELDS]
        told: set[str] = set()
        rest = {n: c.place for n, c in self.columns.items() if n not in DATE_FIELDS}
        texts: dict[str, list[str]] = {name: [] for name in rest}
        for count, (_, cells) in enumerate(self.data()):
            for place in places:
                if place < len(cells) and cells[place] not in told:
                    if len(told) < MOST_KNOWN:
                        told.add(cells[place])
                    self.seen.look(cells[place], past)
            if count < LOOKED_AT:
                for name, place in rest.items():
                    if place < len(cells) and ("," in cells[place] or "." in cells[place]):
                        texts[name].append(cells[place])
        usual = DecimalMark.COMMA if self.table.separator == ";" else None
        self.marks = {name: mark_of(found) or usual for name, found in texts.items()}


def _no_data(cells: list[str], titles: list[str], heads: set[str], *, enough: bool) -> bool:
    filled: list[str] = []
    for cell in cells:  # a loop: this is asked of each of a million rows
        if cell and not cell.isspace():
            filled.append(cell)
            if len(filled) == 2:
                break
    if enough and len(filled) == 1:
        return True  # a merged heading over the rows that follow
    first = filled[0].strip().casefold() if filled else ""
    if first in heads:
        return repeats(cells, titles)
    return first[:1].isalpha() and len(first) <= LONGEST_SUM and folded(first) in SUM_WORDS


@dataclass
class SheetRow:
    """One row of data."""

    sheet: TypedSheet
    line: int
    cells: list[str]

    def text(self, name: str) -> str:
        """Return what stands in a field; "" where it is empty or not in this sheet."""
        column = self.sheet.columns.get(name)
        if column is None or column.place >= len(self.cells):
            return ""
        return " ".join(self.cells[column.place].split())

    def unit(self, name: str) -> str:
        """Return the unit that a field's title says."""
        column = self.sheet.columns.get(name)
        return column.unit if column else ""

    def number(self, name: str) -> tuple[float, str] | None:
        """Return a number and what is written beside it, or None for an empty field."""
        text = self.text(name)
        if not text or text in ("-", "–", "—", "?", "n/a", "N/A"):
            return None
        return self._or_trouble(name, lambda: parse_cell(text, self.sheet.marks.get(name)))

    def amount(self, name: str, least: float = 0, most: float = 10**9) -> float | None:
        """Return a number within bounds, or None for an empty field."""
        found = self.number(name)
        if found is None:
            return None
        value = found[0]
        if not least <= value <= most:
            title = self.sheet.columns[name].title
            raise RowTrouble(f"{title}: {value:g} cannot be right; look at it again.")
        return value

    def whole(self, name: str, least: int = 0, most: int = 10**9) -> int | None:
        """Return a whole number within bounds, or None for an empty field."""
        value = self.amount(name, least, most)
        if value is not None and value != int(value):
            title = self.sheet.columns[name].title
            raise RowTrouble(f"{title}: {value:g} is not a whole number.")
        return None if value is None else int(value)

    def day(self, name: str, now: datetime) -> date | None:
        """Return a day, or None for an empty field."""
        text = self.text(name)
        if not text:
            return None
        return self._or_trouble(name, lambda: day_of_text(text, now, self.sheet.order))

    def clock(self, name: str) -> time | None:
        """Return a time of day, or None for an empty field: the whole day."""
        text = self.text(name)
        return self._or_trouble(name, lambda: parse_clock(text)) if text else None

    def moment(self, name: str, zone: tzinfo, now: datetime, clock: str = "clock") -> When:
        """Return the moment of a date and, beside it or in a column of its own, a time."""
        text = f"{self.text(name)} {self.text(clock)}".strip()
        return self._or_trouble(name, lambda: moment_of(text, zone, now, self.sheet.order))

    def doubt(self, sentence: str) -> None:
        """Tell what is doubtful of this row."""
        self.sheet.report.doubt(self.line, sentence)

    def _or_trouble(self, name: str, read: Callable[[], T]) -> T:
        try:
            return read()
        except ValueError as error:
            raise RowTrouble(f"{self.sheet.columns[name].title}: {error}") from None
