"""A workbook to fill in: a sheet of each kind with headings that are read, and the site's names."""

from io import BytesIO
from typing import Any

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation

from fleet.bring_in.sheet_kinds import LABELS, SheetKind
from fleet.bring_in.site_names import SiteNames
from fleet.models import Role, Shop, Units

TAGS_AHEAD = 500
"""Machines up to which their tags stand ready on the sheet of readings."""
ROWS_CHECKED = 2000
NAMES = "Names here"
"""The sheet of names that cells can be chosen from."""


def _titles(units: str) -> dict[SheetKind, list[tuple[str, str]]]:
    """Return the headings of each sheet, and the list of names from which each is chosen."""
    far, volume = ("mi", "qt") if units == Units.US else ("km", "L")
    return {
        SheetKind.MAKE_UPS: [
            ("Maker", ""), ("Model", ""), ("Class", "Classes"), ("Meters", ""), ("From year", ""),
            ("To year", ""), ("Manual", ""),
        ],
        SheetKind.MACHINES: [
            ("Tag", ""), ("Serial", ""), ("Plate", ""), ("Year", ""), ("Yard", "Yards"),
            ("Make-up", "Make-ups"), ("Class", "Classes"), ("In service since", ""),
            ("Hours at start", ""), (f"Odometer at start ({far})", ""), ("Notes", ""),
        ],
        SheetKind.PEOPLE: [
            ("Name", ""), ("User name", ""), ("Role", "Roles"), ("Shop", "Shops"), ("E-mail", ""),
            ("Skills", ""), ("Hours per week", ""),
        ],
        SheetKind.PARTS: [
            ("Part number", ""), ("Name", ""), (f"Unit (pieces or {volume})", ""), ("Cost", ""),
            ("On hand", ""), ("Shop", "Shops"),
        ],
        SheetKind.INTERVALS: [
            ("Make-up", "Make-ups"), ("Service", "Services"), ("Every", ""), ("First at", ""),
            ("Early", ""), ("Late", ""), ("Covers", ""), ("Page of the manual", ""),
        ],
        SheetKind.SERVICES: [
            ("Tag", ""), ("Service", "Services"), ("Date", ""), ("Hours", ""),
            (f"Odometer ({far})", ""), ("Minutes", ""), ("Notes", ""),
        ],
        SheetKind.BOOKINGS: [
            ("Tag", ""), ("First day", ""), ("Last day", ""), ("Customer", ""), ("Value", ""),
        ],
        SheetKind.READINGS: [
            ("Tag", ""), ("Read at", ""), ("Hours", ""), (f"Odometer ({far})", ""),
        ],
    }  # fmt: skip


EXAMPLES = {
    SheetKind.MAKE_UPS: "One row for each kind of machine. Meters: hours, odometer or both.",
    SheetKind.MACHINES: "One row for each machine; a class is enough where it has one make-up.",
    SheetKind.PEOPLE: "Roles: fleet manager, rental desk, mechanic. No passwords here.",
    SheetKind.PARTS: "What is on the shelf now; fluids by volume.",
    SheetKind.INTERVALS: "From the machine's own manual: 250 h or 12 months; late: 10 h or 10 %.",
    SheetKind.SERVICES: "What was done before: the last of each service is enough to begin with.",
    SheetKind.BOOKINGS: "Past ones and those to come; the first and the last day count.",
    SheetKind.READINGS: "What meters showed; a date alone is enough.",
}
"""The line above the headings of each sheet."""


def sample_workbook(site: SiteNames, units: str, only: Shop | None = None) -> bytes:
    """Return a workbook whose sheets come in as they are; rows with a tag alone are passed over.

    only: the one shop whose names are in it, of what is not set up for all shops together.
    """
    yards = {yard.name for yard in site.yards.exact.values() if only in (None, yard.shop)}
    book = Workbook()
    book.remove(book.active)
    lists = _lists(site, yards, only)
    for kind, titles in _titles(units).items():
        sheet = book.create_sheet(LABELS[kind])
        sheet.append([EXAMPLES[kind]])
        sheet["A1"].font = Font(italic=True)
        sheet.append([title for title, _ in titles])
        _dress(sheet, titles, lists)
        machines = site.machines.exact.items()
        tags = sorted(tag for tag, machine in machines if machine.yard.name in yards)
        if kind is SheetKind.READINGS and len(tags) <= TAGS_AHEAD:
            for tag in tags:
                sheet.append([tag])
    _names(book.create_sheet(NAMES), lists)
    kept = BytesIO()
    book.save(kept)
    return kept.getvalue()


def _lists(site: SiteNames, yards: set[str], only: Shop | None) -> dict[str, list[str]]:
    services = {service.name for service in site.services.exact.values()}
    return {
        "Yards": sorted(yards),
        "Make-ups": sorted(site.makeups.exact),
        "Classes": sorted(site.classes.exact),
        "Services": sorted(services),
        "Shops": sorted(site.shops.exact) if only is None else [only.name],
        "Skills": sorted(site.skills.exact),
        "Roles": [str(role.label) for role in Role],
    }


def _dress(sheet: Any, titles: list[tuple[str, str]], lists: dict[str, list[str]]) -> None:
    """Make headings bold and wide, and let cells be chosen from the site's names."""
    for place, (title, names) in enumerate(titles, start=1):
        letter = get_column_letter(place)
        sheet.column_dimensions[letter].width = max(12, len(title) + 4)
        cell = sheet[f"{letter}2"]
        cell.font, cell.alignment = Font(bold=True), Alignment(wrap_text=True)
        if names and lists[names]:
            column = get_column_letter(list(lists).index(names) + 1)
            choice = DataValidation(
                type="list",
                formula1=f"'{NAMES}'!${column}$2:${column}${len(lists[names]) + 1}",
                allow_blank=True,
                showErrorMessage=False,  # a new name may be typed: it can be made
            )
            sheet.add_data_validation(choice)
            choice.add(f"{letter}3:{letter}{ROWS_CHECKED}")
    sheet.freeze_panes = "A3"


def _names(sheet: Any, lists: dict[str, list[str]]) -> None:
    sheet.append(list(lists))
    for place, (title, names) in enumerate(lists.items(), start=1):
        sheet.column_dimensions[get_column_letter(place)].width = max(14, len(title) + 4)
        sheet.cell(1, place).font = Font(bold=True)
        for row, name in enumerate(names, start=2):
            cell = sheet.cell(row, place, name)
            cell.data_type = "s"
