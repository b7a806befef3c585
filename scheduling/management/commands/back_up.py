"""Copy the whole site into one file while it runs, and read the copy back."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from fleet.back_up.make_copy import make_copy, read_back
from fleet.back_up.site_place import this_site
from fleet.back_up.store import CannotCopyError


class Command(BaseCommand):
    help = (
        "Copy database, photos and key into FILE while the site runs, and read the copy back."
        " Keep FILE as safe as the site: who has it has the site."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="such as evener-2026-03-02.zip")

    def handle(self, *args: Any, **options: Any) -> None:
        target = options["file"].absolute()
        try:
            site = this_site()
            make_copy(site, target, timezone.now())
            made = read_back(site, target)
        except CannotCopyError as error:
            raise CommandError(f"No copy: {error}", returncode=2) from error
        self.stdout.write(
            f"{target}: {made.rows:,} rows in {made.tables} tables, {made.files} files,"
            f" {made.size / 1e6:.1f} MB; read back and found whole."
        )
