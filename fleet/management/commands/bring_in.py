"""Bring in what an owner has in spreadsheets, or undo it."""

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.bring_in.import_acts import Looked, bring_at_once, look_at
from fleet.bring_in.import_undo import said_undone, undo_import
from fleet.bring_in.one_at_a_time import one_at_a_time
from fleet.bring_in.outcomes import SheetReport
from fleet.bring_in.sheet_kinds import LABELS
from fleet.intake.files import read_content
from fleet.intake.headers import FileRefused
from fleet.models import Import
from fleet.queries.kept_imports import import_numbered
from fleet.refusal import Refusal
from fleet.saying import joined

NAMED = 10
"""Lines that one sentence names at most."""


def said_lines(lines: Sequence[int]) -> str:
    """Return "line 3", "lines 3, 4 and 9", or the first of them and how many more."""
    named = [str(line) for line in lines[:NAMED]]
    if len(lines) > NAMED:
        named.append(f"{len(lines) - NAMED:,} more")
    return f"{'line' if len(lines) == 1 else 'lines'} {joined(named)}"


class Command(BaseCommand):
    help = (
        "Bring in make-ups, machines, people, parts, intervals, past services, bookings and"
        " readings from an XLSX or CSV file with any of them on its sheets. Rows that cannot come"
        " in are named with sheet, line and reason. Bringing a file in twice adds nothing."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", nargs="?", default="", help="XLSX or CSV")
        parser.add_argument("--dry-run", action="store_true", help="say what would come, no more")
        parser.add_argument(
            "--make-missing",
            action="store_true",
            help="make shops, yards, classes, make-ups, services and skills that rows name",
        )
        parser.add_argument("--json", action="store_true", help="print counts as JSON")
        parser.add_argument("--undo", type=int, default=0, metavar="ID", help="undo an import")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            self.bring(options)
        except (FileRefused, Refusal) as refused:
            raise CommandError(str(refused), returncode=2) from None

    def undo(self, number: int, options: dict[str, Any]) -> None:
        kept = import_numbered(number)
        if kept is None:
            raise Refusal(f"There is no import {number}.")
        undone = undo_import(kept, by=None, now=timezone.now())
        if options["json"]:
            self.stdout.write(json.dumps({"import": number, "undone": True}))
        else:
            self.stdout.write(said_undone(undone))

    def bring(self, options: dict[str, Any]) -> None:
        if options["undo"]:
            self.undo(options["undo"], options)
            return
        if not options["file"]:
            raise FileRefused("Name a file, or an import to undo with --undo.")
        path, now = Path(options["file"]), timezone.now()
        content = read_content(path)
        if options["dry_run"]:
            kept = Import(file_name=path.name, make_missing=options["make_missing"])
            looked = look_at(content, kept, now)
            number: int | None = None
        else:
            missing = options["make_missing"]
            with one_at_a_time(settings.DATA):
                kept, looked = bring_at_once(
                    content, path.name, make_missing=missing, by=None, now=now
                )
            number = kept.pk
        if options["json"]:
            sheets = [report.counts() for report in looked.sheets]
            self.stdout.write(json.dumps({"import": number, "sheets": sheets}))
            return
        self.report(looked, number)

    def report(self, looked: Looked, number: int | None) -> None:
        made = "made" if number else "would be made"
        for kind, name, lacks in looked.made:
            self.stdout.write(f"{made}, to be completed: {kind} {name} ({lacks})")
        for report in looked.sheets:
            self.report_sheet(report)
        self.stdout.write(
            f"This is import {number}." if number else "Nothing was written: a dry run."
        )

    def report_sheet(self, report: SheetReport) -> None:
        what = LABELS[report.kind] if report.kind else "not read"
        for line, sentence in report.doubts:
            where = f"{report.name}, line {line}" if line else report.name
            self.stdout.write(f"{where}: doubtful: {sentence}")
        for lines, reason in report.refused_by_reason():
            self.stdout.write(f"{report.name}, {said_lines(lines)}: {reason}")
        self.stdout.write(
            f"{report.name} ({what}): {report.added:,} added, {report.same:,} there already,"
            f" {report.refused:,} refused, {report.skipped:,} skipped. {report.note}".rstrip()
        )
