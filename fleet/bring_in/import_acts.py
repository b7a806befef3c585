"""A file is looked at, brought in, and undone; each an act that is done once.

A small file is one transaction.  A large one is several: what is not readings comes first, readings
in batches, and a worker that is killed goes on where it was.
"""

from dataclasses import asdict, dataclass, field
from datetime import datetime
from typing import Any

from django.db import transaction

from fleet.bring_in.bring_sheets import (
    count_rows,
    guessed_units,
    hold_back,
    take_readings_of,
)
from fleet.bring_in.choices import Choices, type_sheets
from fleet.bring_in.date_cells import DateOrder
from fleet.bring_in.import_run import ImportRun
from fleet.bring_in.outcomes import SheetReport
from fleet.bring_in.sheet_kinds import SheetKind
from fleet.bring_in.sheet_tables import SheetTable, open_tables
from fleet.bring_in.site_names import SiteNames
from fleet.bring_in.typed_sheets import TypedSheet
from fleet.changed_facts import tell
from fleet.intake.headers import FileRefused
from fleet.models import Import, ImportFile, ImportRefusal, Person, Shop, ToComplete, Units
from fleet.queries.kept_imports import SHOP_ALONE
from fleet.queries.shop_reach import bound_to

SMALL = 10_000
"""Rows up to which a file is brought in at once, in one transaction."""
SHOWN = 100
"""Refused rows of a sheet that are kept to be shown on its page; all of them are in its file."""


class _NothingKept(Exception):
    """Raised at the end of a look, so that nothing of it is kept."""


@dataclass
class Looked:
    """What would come, or came, of a file: by sheet in its own order, and what would be made."""

    sheets: list[SheetReport]
    made: list[tuple[str, str, str]] = field(default_factory=list)
    """Kind, name and what is to complete of each missing thing."""


@dataclass
class _File:
    """A file that was read: its sheets in the order of coming in, and the run that takes them."""

    tables: list[SheetTable]
    sheets: list[TypedSheet]
    run: ImportRun

    @property
    def rows(self) -> int:
        """How many rows it has."""
        return sum(table.written for table in self.tables)

    def reports(self) -> list[SheetReport]:
        """Return what came of the sheets, in the order in which they stand in the file."""
        by_name = {sheet.table.name: sheet.report for sheet in self.sheets}
        return [by_name[table.name] for table in self.tables]

    def missing(self) -> list[tuple[str, str, str]]:
        """Return what is made because the file names it."""
        return [
            (said_kind(row._meta.model_name or ""), str(row), lacks)
            for row, lacks in self.run.lacking
        ]


def _read(
    content: bytes, kept: Import, now: datetime, tables: list[SheetTable] | None = None
) -> _File:
    tables = tables or open_tables(content, kept.file_name)
    choices = Choices.of(kept.choices, usual_order())
    sheets = type_sheets(tables, choices, now.date())
    site = SiteNames.load()
    only = kept.choices.get(SHOP_ALONE)
    run = ImportRun(
        site=site,
        only=next(shop for shop in site.shops.exact.values() if shop.pk == only) if only else None,
        by=kept.by,
        now=now,
        make_missing=kept.make_missing,
        units=guessed_units(sheets),
    )
    return _File(tables, sheets, run)


def said_kind(model: str) -> str:
    """Return what a model's rows are called."""
    return {"makeup": "make-up", "machineclass": "class"}.get(model, model)


def usual_order() -> DateOrder:
    """Return the order of day and month that is usual where the site is."""
    shop = Shop.objects.order_by("pk").first()
    metric = shop is not None and shop.units == Units.METRIC
    return DateOrder.DAY_FIRST if metric else DateOrder.MONTH_FIRST


def look_at(content: bytes, kept: Import, now: datetime) -> Looked:
    """Say what would come of a file; nothing is written.

    Raises:
        FileRefused: it cannot be read.

    """
    file = _read(content, kept, now)
    try:
        hold_back(file.sheets, file.run)
        writes = any(file.run.pending.values())
        readings = any(sheet.report.kind is SheetKind.READINGS for sheet in file.sheets)
        missing = file.missing()
        if readings and writes:
            with transaction.atomic():
                file.run.write()
                take_readings_of(file.sheets, file.run, kept.file_name, dry_run=True)
                raise _NothingKept
        if readings:
            take_readings_of(file.sheets, file.run, kept.file_name, dry_run=True)
    except _NothingKept:
        pass
    count_rows(file.sheets)
    return Looked(file.reports(), missing)


@transaction.atomic
def begin(
    content: bytes, file_name: str, *, make_missing: bool, by: Person | None, now: datetime
) -> Import:
    """Keep a file that came, to be looked at; who manages one of several shops is held to it."""
    only = bound_to(by) if by else None
    kept = Import.objects.create(
        file_name=file_name[-200:], by=by, made_at=now, make_missing=make_missing,
        choices={SHOP_ALONE: only} if only else {},
    )  # fmt: skip
    ImportFile.objects.create(of_import=kept, content=content)
    return kept


def bring_in(kept: Import, content: bytes, now: datetime) -> Looked | None:
    """Bring a file in; None where somebody else did, or it was left out.

    Raises:
        FileRefused: it cannot be read.

    """
    tables = open_tables(content, kept.file_name)
    if sum(table.written for table in tables) <= SMALL:
        with transaction.atomic():
            if not _claim(kept, now):
                return None
            file = _read(content, kept, now, tables)
            _facts(file, kept)
            take_readings_of(file.sheets, file.run, kept.file_name, dry_run=False)
            return _end(file, kept, now)
    with transaction.atomic():
        if not _claim(kept, now):
            return None
    return _in_steps(content, kept, now, tables)


def bring_at_once(
    content: bytes, file_name: str, *, make_missing: bool, by: Person | None, now: datetime
) -> tuple[Import, Looked]:
    """Keep a file and bring it in; one that cannot be read leaves nothing behind.

    The same file that was cut off on its way in (the power went) goes on from where it was.  The
    caller sees to it that nobody else does so meanwhile.

    Raises:
        FileRefused: it cannot be read.

    """
    kept = _cut_off(content, file_name[-200:], make_missing=make_missing, by=by)
    kept = kept or begin(content, file_name, make_missing=make_missing, by=by, now=now)
    try:
        came = bring_in(kept, content, now)
    except FileRefused:
        kept.delete()
        raise
    assert came is not None  # nobody else knows of it yet
    return kept, came


def _cut_off(
    content: bytes, file_name: str, *, make_missing: bool, by: Person | None
) -> Import | None:
    """Return the import of this file that somebody began and that did not come to its end."""
    begun = Import.objects.filter(
        file_name=file_name, make_missing=make_missing, by=by, file__isnull=False,
        stage__in=(Import.Stage.LOOK, Import.Stage.OWED),
    ).select_related("file")  # fmt: skip
    return next((one for one in begun if bytes(one.file.content) == content), None)


def _claim(kept: Import, now: datetime) -> bool:
    """Take an import for this act: what was done, undone or left out is not done again."""
    waiting = (Import.Stage.READY, Import.Stage.OWED, Import.Stage.LOOK)
    taken = Import.objects.filter(pk=kept.pk, stage__in=waiting)
    done = taken.update(stage=Import.Stage.OWED, done_at=now) == 1
    kept.refresh_from_db()
    return done


def _in_steps(content: bytes, kept: Import, now: datetime, tables: list[SheetTable]) -> Looked:
    """Bring a large file in: what is not readings first, then readings batch by batch.

    After a break it goes through all rows again, since what came of each is told at the end; those
    that came in before are there already, and are counted as what this file added.
    """
    now = kept.done_at or now
    file = _read(content, kept, now, tables)
    broken_off = bool(kept.made) or kept.rows_done > 0
    before = {one["name"]: one["added"] for one in kept.sheets} if broken_off else {}
    file.run.made.spans = dict(kept.made)
    file.run.settled = list(kept.settled)
    kept.rows_done = 0
    Import.objects.filter(pk=kept.pk).update(rows_in_all=file.rows, rows_done=0)

    def save(rows: int) -> None:
        kept.rows_done += rows
        kept.made, kept.settled = file.run.made.spans, file.run.settled
        kept.sheets = [as_kept(one) for one in file.reports()]
        for one in kept.sheets:
            one["added"] += before.get(one["name"], 0)
        kept.save(update_fields=["rows_done", "made", "settled", "sheets"])

    with transaction.atomic():
        _facts(file, kept)
        save(0)
    take_readings_of(file.sheets, file.run, kept.file_name, dry_run=False, after=save)
    for report in file.reports():
        report.added += before.get(report.name, 0)
        report.same -= before.get(report.name, 0)
    with transaction.atomic():
        return _end(file, kept, now)


def _facts(file: _File, kept: Import) -> None:
    """Write all that is no reading, and what is to complete of it."""
    hold_back(file.sheets, file.run)
    file.run.write()
    ToComplete.objects.bulk_create(
        ToComplete(
            of_import=kept, model=row._meta.model_name or "", row_id=row.pk, name=str(row)[:160],
            lacks=lacks,
        )
        for row, lacks in file.run.lacking
    )  # fmt: skip
    kept.made = file.run.made.spans
    kept.save(update_fields=["made"])


def _end(file: _File, kept: Import, now: datetime) -> Looked:
    """Keep what came of it, and tell of all machines at once."""
    count_rows(file.sheets)
    reports = file.reports()
    ImportRefusal.objects.bulk_create(
        (
            ImportRefusal(
                of_import=kept, sheet=report.name[:120], line=one.line, cells=one.cells,
                reason=one.reason[:500],
            )
            for report in reports
            for one in report.refusals
        ),
        batch_size=500,
    )  # fmt: skip
    kept.stage, kept.done_at = Import.Stage.DONE, now
    kept.made, kept.settled = file.run.made.spans, file.run.settled
    kept.sheets = [as_kept(report) for report in reports]
    kept.rows_in_all = kept.rows_done = file.rows
    kept.save()
    ImportFile.objects.filter(of_import=kept).delete()
    if file.run.made.any:
        machines = {one.pk for one in file.run.concerned.values() if one.pk}
        tell(machines | file.run.machine_ids)
    return Looked(reports, file.missing())


def as_kept(report: SheetReport) -> dict[str, Any]:
    """Return what came of a sheet as it is kept, with the first of its refused rows to be shown."""
    kept = asdict(report)
    kept["refusals"] = [[one.line, one.reason] for one in report.refusals[:SHOWN]]
    kept["kind"] = report.kind.value if report.kind else None
    return kept
