"""Put a copy that `back_up` made back into an empty place."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from fleet.back_up.put_back import put_back
from fleet.back_up.site_place import this_site
from fleet.back_up.store import CannotCopyError
from fleet.version import VERSION
from scheduling.serving.lock import DemoRunsError, hold_lock

KEY_DIFFERS = (
    "SECRET_KEY is set and is not that of the copy: people sign in once more, and addresses of"
    " calendars that were given out no longer open. Set the old key to keep them."
)


class Command(BaseCommand):
    help = "Put FILE, made by back_up, into an empty place; every row is compared."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="the copy")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            with hold_lock(settings.DATA, "restore"):
                found = put_back(this_site(), options["file"].absolute())
        except (CannotCopyError, DemoRunsError) as error:
            raise CommandError(f"Not put back: {error}", returncode=2) from error
        self.stdout.write(
            f"Put back as of {found.made_at[:16].replace('T', ' ')} UTC: {found.rows:,} rows in"
            f" {found.tables} tables, every one the same; {found.files} files; the key."
        )
        if found.key_differs:
            self.stdout.write(KEY_DIFFERS)
        if found.version != VERSION:
            self.stdout.write(
                f"The copy was made by version {found.version}; run `manage.py migrate` before the"
                " site is started."
            )
