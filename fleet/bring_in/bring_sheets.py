"""All sheets of a file, in order: what they make is held back, written, and read into readings."""

from collections.abc import Callable, Iterable

from fleet.actions.take_rows import Intake, take_rows
from fleet.bring_in.bring_bookings import bring_bookings
from fleet.bring_in.bring_intervals import bring_intervals
from fleet.bring_in.bring_machines import bring_machines, bring_makeups
from fleet.bring_in.bring_parts import bring_parts
from fleet.bring_in.bring_people import bring_people
from fleet.bring_in.bring_readings import (
    conventions,
    later_rows,
    note,
    prepare_readings,
    take_sheet,
)
from fleet.bring_in.bring_services import bring_services
from fleet.bring_in.import_run import ImportRun
from fleet.bring_in.sheet_kinds import SheetKind
from fleet.bring_in.typed_sheets import TypedSheet
from fleet.models import Units

Handler = Callable[[TypedSheet, ImportRun], None]

HANDLERS: dict[SheetKind, Handler] = {
    SheetKind.MAKE_UPS: bring_makeups,
    SheetKind.MACHINES: bring_machines,
    SheetKind.PEOPLE: bring_people,
    SheetKind.PARTS: bring_parts,
    SheetKind.INTERVALS: bring_intervals,
    SheetKind.SERVICES: bring_services,
    SheetKind.BOOKINGS: bring_bookings,
    SheetKind.READINGS: prepare_readings,
}
"""What is done with a sheet before anything is written."""
US_UNITS = {"mi", "qt", "gal"}
METRIC_UNITS = {"km", "l", "ml"}


def guessed_units(sheets: Iterable[TypedSheet]) -> Units:
    """Return the units of a file by its headings, for a yard that has to be made."""
    said = {column.unit for sheet in sheets for column in sheet.columns.values()}
    return Units.METRIC if said & METRIC_UNITS and not said & US_UNITS else Units.US


def hold_back(sheets: Iterable[TypedSheet], run: ImportRun) -> None:
    """Go through all sheets but readings; what they make is held back in the run."""
    for sheet in sheets:
        if sheet.report.kind:
            HANDLERS[sheet.report.kind](sheet, run)


def take_readings_of(
    sheets: Iterable[TypedSheet],
    run: ImportRun,
    file_name: str,
    *,
    dry_run: bool,
    after: Callable[[int], None] = lambda rows: None,
) -> None:
    """Take the readings of all sheets, then those that services and machines tell of.

    after: hears how many rows came with each batch.
    """
    order = conventions(run, file_name, dry_run=dry_run, keep=True)
    machines: set[int] = set()

    def each(intake: Intake, rows: int) -> None:
        machines.update(intake.machines)
        after(rows)

    for sheet in sheets:
        if sheet.report.kind is SheetKind.READINGS:
            take_sheet(sheet, run, order, each)
    if run.later and not dry_run:
        quiet = conventions(run, file_name, dry_run=False, keep=False)
        take_rows(later_rows(run), quiet, run.now, lambda intake, _: note(intake, run))
    run.machine_ids |= machines


def count_rows(sheets: Iterable[TypedSheet]) -> None:
    """Fill in how many rows there were, and how many were left aside."""
    for sheet in sheets:
        report = sheet.report
        if report.kind is None:
            start = sheet.heading.line
            report.skipped = sum(1 for line, _ in sheet.table.rows() if line > start)
        else:
            report.skipped = sheet.rows_below - sheet.rows_of_data
        report.rows = report.added + report.same + report.refused + report.skipped
