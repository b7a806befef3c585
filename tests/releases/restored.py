"""A database of a release, as it was, and migrated to now: on SQLite, or on PostgreSQL.

SQLite: the dump is the database, with the tables as they were made then.  PostgreSQL: the tables
are made by the migrations that the dump says had run, and its rows put into them.
"""

import json
import os
import sqlite3
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings

from tests.releases.make import statements

OF_OTHERS = ("REDIS_URL", "EMAIL_URL", "BASE_URL", "ALLOWED_HOSTS", "DATABASE_URL", "SECRET_KEY")
LONGEST = 280
"""Seconds for one command."""
Rows = dict[Any, dict[str, Any]]
"""Primary key -> column -> value."""


@dataclass(frozen=True)
class Restored:
    """A folder with the database of a release.

    old: an SQLite file with the rows as they were; url: of the database that is migrated, empty
    for the SQLite file of the folder.
    """

    folder: Path
    old: Path
    url: str = ""

    def run(self, *words: str) -> str:
        """Run a module of Python on it and return what it said; a failing one raises."""
        env = {name: value for name, value in os.environ.items() if name not in OF_OTHERS}
        env |= {"EVENER_DATA": str(self.folder), "LOG_LEVEL": "CRITICAL"}
        env |= {"DATABASE_URL": self.url} if self.url else {}
        ran = subprocess.run(
            [sys.executable, *words], cwd=settings.ROOT, env=env,
            capture_output=True, text=True, timeout=LONGEST, check=False,
        )  # fmt: skip
        if ran.returncode:
            raise AssertionError(f"{words} ended with {ran.returncode}: {ran.stdout}{ran.stderr}")
        return ran.stdout

    def tables_then(self) -> dict[str, Rows]:
        """Return every table as it was."""
        return tables_of_file(self.old)

    def tables_now(self) -> dict[str, Rows]:
        """Return every table as it is."""
        if not self.url:
            return tables_of_file(self.folder / "evener.sqlite3")
        with _connected(self.url) as there:
            return {name: _rows_there(there, name) for name in _names_there(there)}


@contextmanager
def restored(dump: Path, folder: Path) -> Iterator[Restored]:
    """Restore a dump into an empty folder, and into PostgreSQL where the tests run on that."""
    old = folder / "old.sqlite3"
    for file in (old, folder / "evener.sqlite3"):
        with closing(sqlite3.connect(file)) as to:
            to.executescript(statements(dump))
    if settings.DATABASES["default"]["ENGINE"].endswith("sqlite3"):
        yield Restored(folder, old)
        return
    with _database_of_its_own() as url:
        found = Restored(folder, old, url)
        _fill(found)
        yield found


def tables_of_file(file: Path) -> dict[str, Rows]:
    """Return every table of an SQLite file."""
    with closing(sqlite3.connect(file)) as there:
        there.row_factory = sqlite3.Row
        names = there.execute(
            "select name from sqlite_master where type = 'table' and name not like 'sqlite_%'"
        ).fetchall()
        return {name: _rows_of(there, name) for (name,) in names}


def _rows_of(there: sqlite3.Connection, name: str) -> Rows:
    columns = there.execute(f'pragma table_info("{name}")').fetchall()
    key = next(column["name"] for column in columns if column["pk"])
    return {row[key]: dict(row) for row in there.execute(f'select * from "{name}"')}


@contextmanager
def _connected(url: str) -> Iterator[Any]:
    import psycopg  # noqa: PLC0415  wanted on PostgreSQL alone

    with psycopg.connect(url, autocommit=True, options="-c timezone=UTC") as there:
        yield there


def _names_there(there: Any) -> Sequence[str]:
    rows = there.execute("select tablename from pg_tables where schemaname = 'public'")
    return [name for (name,) in rows.fetchall()]


def _rows_there(there: Any, name: str) -> Rows:
    key = there.execute(
        "select a.attname from pg_index i join pg_attribute a on a.attrelid = i.indrelid"
        " and a.attnum = any(i.indkey) where i.indisprimary and i.indrelid = %s::regclass",
        [f'"{name}"'],
    ).fetchone()[0]
    asked = there.execute(f'select * from "{name}"')
    columns = [column.name for column in asked.description]
    rows = [dict(zip(columns, row, strict=True)) for row in asked.fetchall()]
    return {row[key]: row for row in rows}


@contextmanager
def _database_of_its_own() -> Iterator[str]:
    """Make an empty database beside the tests' own, and drop it afterwards."""
    at = settings.DATABASES["default"]
    server = f"postgres://{at['USER']}:{at['PASSWORD']}@{at['HOST']}:{at['PORT'] or 5432}"
    name = f"evener_release_{os.getpid()}"
    with _connected(f"{server}/postgres") as there:
        there.execute(f"create database {name}")
        try:
            yield f"{server}/{name}"
        finally:
            there.execute(f"drop database {name} with (force)")


def _fill(found: Restored) -> None:
    """Make the tables as they were then, by the migrations that had run, and put the rows in."""
    tables = found.tables_then()
    ran = [(row["app"], row["name"]) for row in tables["django_migrations"].values()]
    found.run("-m", "tests.releases.tables_then", json.dumps(ran))
    with _connected(found.url) as there:
        names = ", ".join(f'"{name}"' for name in _names_there(there))
        there.execute(f"truncate {names}")
        there.execute("set session_replication_role = replica")  # rows in any order
        for name, rows in tables.items():
            _put(there, name, list(rows.values()))


def _put(there: Any, name: str, rows: list[dict[str, Any]]) -> None:
    """Put rows into a table, each value as its column there has it, and let its counter go on."""
    if not rows:
        return
    kinds = dict(
        there.execute(
            "select column_name, udt_name from information_schema.columns where table_name = %s",
            [name],
        ).fetchall()
    )
    columns = list(rows[0])
    places = ", ".join(f"%s::text::{kinds[column]}" for column in columns)
    named = ", ".join(f'"{column}"' for column in columns)
    with there.cursor() as cursor:
        cursor.executemany(
            f'insert into "{name}" ({named}) overriding system value values ({places})',
            [[None if v is None else str(v) for v in row.values()] for row in rows],
        )
        if "id" in columns:
            cursor.execute(
                f"select setval(pg_get_serial_sequence('\"{name}\"', 'id'), max(id))"
                f' from "{name}"'
            )
