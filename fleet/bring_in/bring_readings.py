"""Rows of readings: into the same intake and validation as readings from everywhere else."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

from fleet.actions.take_rows import AfterBatch, Intake, take_rows
from fleet.bring_in.date_cells import plain_moment
from fleet.bring_in.import_run import KIND_OF_FIELD, ImportRun
from fleet.bring_in.meter_values import kind_of_unit
from fleet.bring_in.name_matching import SeveralFit
from fleet.bring_in.number_cells import DecimalMark, parse_cell
from fleet.bring_in.one_shop import others_machine
from fleet.bring_in.typed_sheets import TypedSheet
from fleet.intake.reading_rows import ReadingRow, mark_of_texts
from fleet.intake.resolving import RowConventions, kind_named
from fleet.models import Machine, MeterKind, Reading, ReadingToMend, Source
from fleet.quantities import unit_of

WORDS = {MeterKind.HOURS: "hours", MeterKind.DISTANCE: "odometer", MeterKind.CYCLES: "cycles"}
"""Kinds of meter as a row of readings names them."""


@dataclass
class Tags:
    """Machines by the tags that rows write, each found once; and the yard's units of their meters.

    A lone value has the unit of its machine's yard.
    """

    run: ImportRun
    found: dict[str, Machine | None] = field(default_factory=dict)
    units: dict[tuple[str, str], str] = field(default_factory=dict)

    def machine(self, written: str) -> Machine | None:
        """Return the machine of a tag, None where none or several fit."""
        if written not in self.found:
            try:
                self.found[written] = self.run.site.machines.find(written)
            except SeveralFit:
                self.found[written] = None
        return self.found[written]

    def unit(self, written: str, meter: str) -> str:
        """Return the unit of a tag's machine for a meter; "" where one of them is not known."""
        if (written, meter) not in self.units:
            machine = self.machine(written)
            kind = kind_named(meter) if meter else None
            known = unit_of(kind, machine.yard.units) if machine and kind else ""
            self.units[written, meter] = known
        return self.units[written, meter]


class ValueColumn(NamedTuple):
    """A column with values of meters: where it stands, what its title says, how it is written.

    meter: which one it is of, "" where the row says so.
    """

    place: int
    unit: str
    meter: str
    mark: DecimalMark | None


def _value_columns(sheet: TypedSheet) -> list[ValueColumn]:
    found = []
    for name in ("value", *KIND_OF_FIELD):
        if name in sheet.columns:
            column, kind = sheet.columns[name], KIND_OF_FIELD.get(name)
            fits = kind is None or kind_of_unit(column.unit) is kind
            meter = WORDS[kind] if kind else ""
            unit = column.unit if fits else ""
            found.append(ValueColumn(column.place, unit, meter, sheet.marks.get(name)))
    return found


def reading_rows(sheet: TypedSheet, run: ImportRun) -> Iterator[ReadingRow]:
    """Go through a sheet's readings, written in the one way that the intake reads everywhere.

    A row with a column for each of several meters is as many readings.
    """
    places = {name: column.place for name, column in sheet.columns.items()}
    tags, values, order = Tags(run), _value_columns(sheet), sheet.order
    tag_at, when_at = places["tag"], places["when"]
    clock_at, meter_at, unit_at = places.get("clock"), places.get("meter"), places.get("unit")
    for line, cells in sheet.data():
        tag = _cell(cells, tag_at)
        when = plain_moment(f"{_cell(cells, when_at)} {_cell(cells, clock_at)}", order)
        meter_said, unit_said = _cell(cells, meter_at), _cell(cells, unit_at)
        shown = [(_cell(cells, column.place), column) for column in values]
        machine = tags.machine(tag)
        if run.only and machine and machine.yard.shop_id != run.only.pk:
            # not left to be mended, since nobody else's press is to take it
            sheet.report.refuse(line, cells, others_machine(machine.tag, run.only))
            continue
        named = machine.tag if machine else tag
        for text, column in [each for each in shown if each[0]] or shown[:1]:
            meter = column.meter or meter_said
            value = _value(text, unit_said or column.unit, column.mark, tags, (tag, meter))
            mark = "" if named == tag else mark_of_texts(tag, meter, when, value)
            yield ReadingRow(line, named, meter, when, value, " | ".join(cells), mark)


def _cell(cells: list[str], place: int | None) -> str:
    """Return what stands in a cell, "" for one that is not there."""
    return cells[place].strip() if place is not None and place < len(cells) else ""


def _value(text: str, unit: str, mark: DecimalMark | None, tags: Tags, of: tuple[str, str]) -> str:
    """Write a value with a point and its unit; what is no number stays as it is.

    of: tag and meter, by which a value without a unit has the yard's.
    """
    try:
        number, beside = parse_cell(text, mark)
    except ValueError:
        return text
    if number < 0:
        return text
    return f"{number:.4f} {beside or unit or tags.unit(*of)}".rstrip()


def prepare_readings(sheet: TypedSheet, run: ImportRun) -> None:
    """Fit the meters that a sheet's readings need and their machines lack."""
    if not run.make_missing:
        return
    columns, tags = sheet.columns, Tags(run)
    fixed = [KIND_OF_FIELD[name].value for name in KIND_OF_FIELD if name in columns]
    needed: dict[tuple[int, str], Machine] = {}
    for _, cells in sheet.data():
        place = columns["tag"].place
        machine = tags.machine(cells[place].strip() if place < len(cells) else "")
        if machine is None or (run.only and machine.yard.shop_id != run.only.pk):
            continue
        for name, kind in KIND_OF_FIELD.items():
            if name in columns and columns[name].place < len(cells) and cells[columns[name].place]:
                needed[id(machine), kind.value] = machine
        if not fixed and (kind_said := _kind_said(sheet, cells, run, machine)):
            needed[id(machine), kind_said] = machine
    for (_, kind_needed), machine in needed.items():
        if kind_needed not in run.site.has_kinds(machine):
            run.fit(machine, kind_needed)


def _kind_said(sheet: TypedSheet, cells: list[str], run: ImportRun, machine: Machine) -> str:
    """Return the kind of meter that a row names by name or unit; hours where a machine has none."""
    columns = sheet.columns

    def at(name: str) -> str:
        column = columns.get(name)
        return cells[column.place].strip() if column and column.place < len(cells) else ""

    beside = "".join(c for c in at("value") if c.isalpha()).lower()
    kind = (kind_named(at("meter")) if at("meter") else None) or kind_of_unit(
        at("unit").lower() or beside or columns["value"].unit
    )
    if kind:
        return kind.value
    return "" if run.site.has_kinds(machine) else MeterKind.HOURS.value


def conventions(run: ImportRun, file_name: str, *, dry_run: bool, keep: bool) -> RowConventions:
    """Return how an import's readings are taken: it tells once, at its end."""
    return RowConventions(
        source=Source.FILE,
        file_name=file_name,
        by=run.by,
        dry_run=dry_run,
        keep=keep,
        tells=False,
    )


def take_sheet(sheet: TypedSheet, run: ImportRun, order: RowConventions, after: AfterBatch) -> None:
    """Take a sheet's readings in batches; the report and what was made are kept with each."""
    seen = CountedBefore()

    def count(intake: Intake, rows: int) -> None:
        report = sheet.report
        report.added += intake.new - seen.new
        report.same += intake.known - seen.known
        refused = {one.row.line: one.sentence for one in intake.refused}
        report.refused += len(intake.refused)
        seen.new, seen.known = intake.new, intake.known
        seen.refused |= refused if len(seen.refused) < MOST_LINES else {}
        intake.refused.clear()
        note(intake, run)
        after(intake, rows)

    take_rows(reading_rows(sheet, run), order, run.now, count)
    _keep_cells(sheet, seen.refused)


MOST_LINES = 20_000
"""Refused lines of one sheet whose cells are given back."""


@dataclass
class CountedBefore:
    """What was counted of the batches before."""

    new: int = 0
    known: int = 0
    refused: dict[int, str] = field(default_factory=dict)


def note(intake: Intake, run: ImportRun) -> None:
    """Note what a batch made."""
    run.made.add(Reading, intake.made)
    run.made.add(ReadingToMend, intake.kept)
    run.settled += intake.settled
    intake.made, intake.kept, intake.settled = [], [], []


def _keep_cells(sheet: TypedSheet, reasons: dict[int, str]) -> None:
    """Keep the cells of refused rows beside their reason; one more passage where there are any."""
    if not reasons:
        return
    for line, cells in sheet.data():
        if line in reasons:
            before = sheet.report.refused
            sheet.report.refuse(line, cells, reasons[line])
            sheet.report.refused = before  # counted with its batch


def later_rows(run: ImportRun) -> Iterable[ReadingRow]:
    """Return as rows what services and lists of machines tell of meters."""
    for one in run.later:
        unit = "m" if one.kind == MeterKind.DISTANCE else unit_of(one.kind, "us")
        yield ReadingRow(
            0, one.machine.tag, WORDS[MeterKind(one.kind)], one.when, f"{one.value:.4f} {unit}"
        )
