"""What a person says by hand of a file: sheets, columns, dates; and how it is shown to them."""

from dataclasses import dataclass, field
from typing import Any

from django.http import QueryDict

from fleet.bring_in.choices import LEFT_OUT
from fleet.bring_in.date_cells import DateOrder
from fleet.bring_in.sheet_kinds import FIELDS, LABELS, SheetKind
from fleet.models import Import

KINDS = [("", "not known")] + [(kind.value, LABELS[kind]) for kind in SheetKind]
ORDERS = [
    (DateOrder.MONTH_FIRST.value, "month first: 3/12 is 12 March"),
    (DateOrder.DAY_FIRST.value, "day first: 3/12 is 3 December"),
]


@dataclass(frozen=True)
class ColumnShown:
    """One column: its place and title, the field that it is taken for."""

    place: int
    title: str
    field: str


@dataclass
class SheetShown:
    """One sheet of a file as the page shows it."""

    number: int
    kept: dict[str, Any]
    choice: dict[str, Any]
    columns: list[ColumnShown] = field(default_factory=list)

    @property
    def name(self) -> str:
        """Its name in the file."""
        return str(self.kept["name"])

    @property
    def kind(self) -> str:
        """What it is taken for; "out" where it is left out."""
        said = self.choice.get("kind", "")
        return LEFT_OUT if said == LEFT_OUT else str(self.kept["kind"] or said)

    @property
    def label(self) -> str:
        """What it is taken for, in words."""
        if self.kind == LEFT_OUT:
            return "left out"
        return LABELS[SheetKind(self.kind)] if self.kind else "not known"

    @property
    def fields(self) -> list[tuple[str, str]]:
        """The fields that a column of it can be."""
        if self.kind not in set(SheetKind):
            return []
        return [(name, words.label) for name, words in FIELDS[SheetKind(self.kind)].items()]

    @property
    def doubts(self) -> list[tuple[int, str]]:
        """What is doubtful, by line."""
        return [(line, sentence) for line, sentence in self.kept["doubts"]]

    @property
    def more_refused(self) -> int:
        """Refused rows that are not shown."""
        return int(self.kept["refused"]) - len(self.kept.get("refusals", []))


def shown_sheets(kept: Import) -> list[SheetShown]:
    """Return the sheets of a file with the columns as they are taken."""
    said = kept.choices.get("sheets", {})
    found = []
    for number, sheet in enumerate(kept.sheets):
        by_place = {place: name for name, place in sheet["columns"].items()}
        columns = [
            ColumnShown(place, title, by_place.get(place, ""))
            for place, title in enumerate(sheet["titles"])
            if title.strip()
        ]
        found.append(SheetShown(number, sheet, said.get(sheet["name"], {}), columns))
    return found


def read_choices(kept: Import, typed: QueryDict) -> tuple[dict[str, Any], bool]:
    """Return what was said by hand of each sheet, and whether missing things are to be made.

    Columns of a sheet whose kind changed are left to its headings: they were of another kind.
    """
    said: dict[str, Any] = {}
    for sheet in shown_sheets(kept):
        kind = typed.get(f"kind-{sheet.number}", sheet.kind)
        choice: dict[str, Any] = {}
        if kind == LEFT_OUT or kind in set(SheetKind):
            changed = kind != sheet.kind
            if changed or sheet.choice.get("kind"):
                choice["kind"] = kind
            if not changed:
                choice["columns"] = _columns(sheet, typed)
        order = typed.get(f"order-{sheet.number}", sheet.choice.get("order", ""))
        if order in set(DateOrder) and sheet.kept["asks_order"]:
            choice["order"] = order
        choice = {name: value for name, value in choice.items() if value}
        if choice:
            said[sheet.name] = choice
    return said, typed.get("make_missing") == "yes"


def _columns(sheet: SheetShown, typed: QueryDict) -> dict[str, str]:
    """Return the columns that are said to be something else than their titles say, and before."""
    before = dict(sheet.choice.get("columns", {}))
    names = {name for name, _ in sheet.fields}
    for column in sheet.columns:
        name = typed.get(f"column-{sheet.number}-{column.place}", column.field)
        if name != column.field and (not name or name in names):
            before[str(column.place)] = name
    return before
