"""Take readings in from a CSV or XLSX file."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.actions.take_rows import Intake, take_rows
from fleet.intake.files import open_file
from fleet.intake.headers import FileRefused
from fleet.intake.resolving import RowConventions
from fleet.models import Person, Yard
from fleet.queries.by_name import person_named, yard_named, yard_names
from fleet.saying import counted, joined

NAMED = 20
"""Yards that a refusal lists at most."""


class Command(BaseCommand):
    help = (
        "Take meter readings in from a CSV or XLSX file with the columns machine, read at, value"
        " and, if any, meter and unit. Rows that cannot be right are named with their line and"
        " reason and kept under “Readings to mend”. Reading a file twice adds nothing."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", help="CSV (comma, semicolon or tab) or XLSX")
        parser.add_argument("--dry-run", action="store_true", help="judge every row, write nothing")
        parser.add_argument("--yard", default="", help="take readings of this yard's machines only")
        parser.add_argument("--by", default="", help="username of the person who read the meters")

    def handle(self, *args: Any, **options: Any) -> None:
        path = Path(options["file"])
        try:
            sheet = open_file(path)
            order = RowConventions(
                file_name=path.name,
                by=_person(options["by"]),
                yard=_yard(options["yard"]),
                commas=sheet.commas,
                dry_run=options["dry_run"],
            )
            intake = take_rows(sheet.rows, order, timezone.now())
        except FileRefused as refused:
            raise CommandError(str(refused), returncode=2) from None
        self.report(intake, dry_run=order.dry_run)

    def report(self, intake: Intake, *, dry_run: bool) -> None:
        for refused in intake.refused:
            known = " (kept before)" if refused.known else ""
            self.stdout.write(f"line {refused.row.line}: {refused.sentence}{known}")
        kept = sum(not refused.known for refused in intake.refused)
        before = len(intake.refused) - kept
        parts = [f"{intake.new:,} new", f"{intake.known:,} already there"]
        if kept:
            parts.append(f"{kept:,} to mend")
        if before:
            parts.append(f"{before:,} kept to mend before")
        end = " Nothing was written: a dry run." if dry_run else ""
        self.stdout.write(f"{', '.join(parts)}.{end}")


def _person(username: str) -> Person | None:
    if not username:
        return None
    person = person_named(username)
    if person is None:
        raise FileRefused(f"Nobody signs in as “{username}”; look at the name after --by.")
    return person


def _yard(name: str) -> Yard | None:
    if not name:
        return None
    yard = yard_named(name)
    if yard is None:
        names = yard_names()
        here = joined(names[:NAMED]) or "none"
        raise FileRefused(
            f"There is no yard “{name}”; the {counted(len(names), 'yard')} here: {here}."
        )
    return yard
