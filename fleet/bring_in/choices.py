"""What a person said by hand of a file: what a sheet is, which column is which, day or month."""

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from fleet.bring_in.date_cells import DateOrder
from fleet.bring_in.headings import Column, Heading, find_heading, unit_of_title
from fleet.bring_in.outcomes import SheetReport
from fleet.bring_in.sheet_kinds import FIELDS, LABELS, SheetKind
from fleet.bring_in.sheet_tables import SheetTable
from fleet.bring_in.typed_sheets import TypedSheet

LEFT_OUT = "out"
"""What is said of a sheet that is not to come in."""


@dataclass(frozen=True)
class SheetChoice:
    """What was said of one sheet; "" where nothing was.

    columns: place of a column -> its field, "" to leave the column out.
    """

    kind: str = ""
    columns: dict[int, str] = field(default_factory=dict)
    order: str = ""


@dataclass(frozen=True)
class Choices:
    """What was said of a file: by sheet, and the order of dates that counts where none is told."""

    sheets: dict[str, SheetChoice] = field(default_factory=dict)
    usual: DateOrder = DateOrder.MONTH_FIRST

    @classmethod
    def of(cls, kept: dict[str, Any], usual: DateOrder) -> "Choices":
        """Return choices as they were kept with an import."""
        sheets = {
            name: SheetChoice(
                said.get("kind", ""),
                {int(place): name for place, name in said.get("columns", {}).items()},
                said.get("order", ""),
            )
            for name, said in kept.get("sheets", {}).items()
        }
        return cls(sheets, usual)

    def sheet(self, name: str) -> SheetChoice:
        """Return what was said of a sheet."""
        return self.sheets.get(name, SheetChoice())


def type_sheets(tables: list[SheetTable], choices: Choices, today: date) -> list[TypedSheet]:
    """Find out what each sheet is and how it is written; kinds come in the order of coming in.

    A sheet that is left out, or that nobody knows, has no kind and comes last.
    """
    sheets = [_typed(table, choices.sheet(table.name), today) for table in tables]
    _settle_orders(sheets, choices)
    places = {kind: place for place, kind in enumerate(SheetKind)}
    return sorted(sheets, key=lambda s: places[s.report.kind] if s.report.kind else len(places))


def _typed(table: SheetTable, said: SheetChoice, today: date) -> TypedSheet:
    report = SheetReport(table.name, separator=table.separator)
    kind = SheetKind(said.kind) if said.kind in set(SheetKind) else None
    heading = find_heading(table.head(), table.name, kind)
    report.titles = heading.titles
    if said.kind == LEFT_OUT:
        report.note = "Left out."
        return TypedSheet(table, heading, report)
    heading = _by_hand(heading, said.columns)
    if heading.kind is None or heading.lacks:
        report.note = _unknown(heading)
        if heading.kind:
            report.columns = {name: column.place for name, column in heading.columns.items()}
        return TypedSheet(table, heading, report)
    report.kind = heading.kind
    report.columns = {name: column.place for name, column in heading.columns.items()}
    sheet = TypedSheet(table, heading, report)
    sheet.look(today)
    return sheet


def _unknown(heading: Heading) -> str:
    if heading.kind is None:
        return "No heading was found that says what it holds: choose what it is, or leave it out."
    lacks = ", ".join(FIELDS[heading.kind][name].label for name in heading.lacks)
    return f"{LABELS[heading.kind]} need a column for: {lacks}. Choose which one it is."


def _by_hand(heading: Heading, columns: dict[int, str]) -> Heading:
    """Put what was said of columns in the place of what their titles say."""
    if heading.kind is None or not columns:
        return heading
    chosen = {
        name: column for name, column in heading.columns.items() if column.place not in columns
    }
    for place, name in columns.items():
        if name in FIELDS[heading.kind]:
            title = heading.titles[place] if place < len(heading.titles) else f"column {place + 1}"
            chosen[name] = Column(
                place, title.strip() or f"column {place + 1}", unit_of_title(title)
            )
    return Heading(heading.line, heading.titles, heading.kind, chosen)


def _settle_orders(sheets: list[TypedSheet], choices: Choices) -> None:
    """Let dates that can be read both ways follow those of the file's other sheets, or ask."""
    told = {sheet.seen.order for sheet in sheets if sheet.seen.order}
    shared = told.pop() if len(told) == 1 else None
    for sheet in sheets:
        said = choices.sheet(sheet.table.name).order
        if said in set(DateOrder):
            sheet.order = DateOrder(said)
        elif sheet.seen.mixed:
            sheet.report.doubt(0, "Some dates have the day first and others the month.")
        else:
            sheet.order = sheet.seen.order or shared or choices.usual
        sheet.report.order = sheet.order or ""
        sheet.report.asks_order = sheet.seen.ambiguous and shared is None
        if sheet.report.asks_order and said not in set(DateOrder):
            sheet.report.doubt(
                0,
                f"Dates such as {sheet.seen.example} can be read both ways; the"
                f" {'day' if sheet.order is DateOrder.DAY_FIRST else 'month'} is taken to come"
                " first.",
            )
