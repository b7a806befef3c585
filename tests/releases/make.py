"""Make the dump of a release: python -m tests.releases.make

The demo fleet as of one fixed day, after its night and after people have acted on it, as a gzipped
SQL text of an SQLite database, beside this file and named by the release's version.  Every table
that the demo fills has rows.  It is made once, at the release, and never again: what a later
program would write is no database of that release.
"""

import argparse
import gzip
import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

FOLDER = Path(__file__).resolve().parent
NOW = datetime(2026, 11, 25, 15, 0, tzinfo=UTC)
"""A Wednesday; morning in the yard of the demo."""
LARGEST = 1_000_000
"""Bytes of one dump in the repository."""


def prepare(machines: int | None, seconds: float) -> None:
    """Fill the database that Django is set up on."""
    from django.core.management import call_command  # noqa: PLC0415  wants Django to be set up

    from fleet.models import Shop  # noqa: PLC0415
    from scheduling.worker.night import run_night  # noqa: PLC0415
    from tests.releases.acts import act  # noqa: PLC0415

    call_command("migrate", verbosity=0)
    call_command("load_demo", date=f"{NOW:%Y-%m-%d}", machines=machines)
    for shop in Shop.objects.all():
        run_night(shop, NOW, plan_seconds=seconds)
    act(NOW)


def write_dump(database: Path, file: Path) -> int:
    """Write an SQLite database as gzipped SQL; return how many bytes that takes."""
    with closing(sqlite3.connect(database)) as source:
        text = "\n".join(source.iterdump())
    packed = gzip.compress(text.encode(), 9, mtime=0)  # the same rows are the same bytes
    file.write_bytes(packed)
    return len(packed)


def statements(file: Path) -> str:
    """Return the SQL of a dump."""
    return gzip.decompress(file.read_bytes()).decode()


def empty_tables(database: Path) -> Iterator[str]:
    """Yield the tables without a row."""
    with closing(sqlite3.connect(database)) as source:
        for (name,) in source.execute("select name from sqlite_master where type = 'table'"):
            if not source.execute(f'select 1 from "{name}" limit 1').fetchone():
                yield name


def main() -> None:
    """Make it in a folder of its own, whatever database the environment names."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("version", help="of the release, as 0.2.0")
    asked.add_argument("--machines", type=int, help="left out: the demo whole")
    asked.add_argument("--folder", type=Path, default=FOLDER, help="left out: where dumps are kept")
    asked.add_argument("--seconds", type=float, default=20.0, help="for the plan")
    given = asked.parse_args()
    file = given.folder / f"{given.version}.sql.gz"
    if file.exists():
        raise SystemExit(f"{file.name} is there already, and a dump is made once.")
    for name in ("DATABASE_URL", "REDIS_URL", "EMAIL_URL"):
        os.environ.pop(name, None)
    with TemporaryDirectory() as folder:
        os.environ["EVENER_DATA"] = folder
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")
        import django  # noqa: PLC0415  reads the environment set above

        django.setup()
        prepare(given.machines, given.seconds)
        database = Path(folder) / "evener.sqlite3"
        size = write_dump(database, file)
        empty = ", ".join(empty_tables(database))
    print(f"{file.name}: {size:,} bytes; tables without a row: {empty}")  # noqa: T201
    if size > LARGEST:
        raise SystemExit("That is too large for the repository; take fewer --machines.")


if __name__ == "__main__":
    main()
