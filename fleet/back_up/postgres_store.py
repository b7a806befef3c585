"""PostgreSQL as a thing to copy, by its own tools pg_dump and pg_restore.

The dump and the sums of the rows are of one moment: both look through one exported snapshot
(https://www.postgresql.org/docs/current/functions-admin.html, pg_export_snapshot).
"""

import os
import shutil
import subprocess
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import psycopg
from psycopg import sql
from psycopg.types.string import TextLoader

from fleet.back_up.row_sums import TableSum, TableSums, add_up
from fleet.back_up.store import CannotCopyError

BATCH = 5000
"""Rows that are fetched at a time."""
MISSING_TOOL = (
    "{tool} was not found. Install PostgreSQL's client programs of the server's version or a newer"
    " one (the package is often called postgresql-client)."
)


class PostgresStore:
    """One PostgreSQL database, by its Django settings."""

    vendor = "postgresql"

    def __init__(self, database: Mapping[str, Any]) -> None:
        named = {
            "dbname": database["NAME"], "user": database.get("USER"),
            "host": database.get("HOST"), "port": database.get("PORT"),
        }  # fmt: skip
        named |= {k: v for k, v in (database.get("OPTIONS") or {}).items() if isinstance(v, str)}
        self.where = {k: str(v) for k, v in named.items() if v}
        self.password = str(database.get("PASSWORD") or "")

    def is_empty(self) -> bool:
        """Whether it has no table in its schema."""
        with self._connected() as there:
            return not _tables(there)

    def sums(self) -> TableSums:
        """Return the sums of the rows that are there now."""
        with self._connected() as there:
            return _sums(there)

    def copy_to(self, target: Path) -> TableSums:
        """Dump it in pg_dump's own format, as it is at one moment, while others read and write."""
        with self._connected() as there:
            there.isolation_level = psycopg.IsolationLevel.REPEATABLE_READ
            there.read_only = True
            row = there.execute("SELECT pg_export_snapshot()").fetchone()
            snapshot = row[0] if row else ""
            self._run("pg_dump", "-Fc", f"--snapshot={snapshot}", f"--file={target}", self._named())
            return _sums(there)

    def read(self, copy: Path) -> TableSums:
        """Unpack a dump whole and count the rows of each table in it.

        Its values are compared only when it is put back: that takes a database.
        """
        with self._unpacking(copy) as lines:
            return {name: TableSum(rows, "") for name, rows in _counted(lines).items()}

    def put_back(self, copy: Path) -> TableSums:
        """Fill the empty database from a dump, all or nothing."""
        self._run(
            "pg_restore", "--no-owner", "--no-privileges", "--exit-on-error",
            "--single-transaction", self._named(), str(copy),
        )  # fmt: skip
        return self.sums()

    @contextmanager
    def _connected(self) -> Iterator[psycopg.Connection[Any]]:
        try:
            with psycopg.connect(self._address(), connect_timeout=10) as there:
                yield there
        except psycopg.Error as error:
            raise CannotCopyError(f"PostgreSQL said: {error}".strip()) from error

    def _address(self) -> str:
        given = self.where | ({"password": self.password} if self.password else {})
        return psycopg.conninfo.make_conninfo(options="-c TimeZone=UTC", **given)

    def _named(self) -> str:
        """Name the database for the tools; the password goes by the environment, not in sight."""
        return f"--dbname={psycopg.conninfo.make_conninfo(**self.where)}"

    def _run(self, tool: str, *words: str) -> None:
        env = os.environ | ({"PGPASSWORD": self.password} if self.password else {})
        ran = subprocess.run(
            [_tool(tool), *words], env=env, capture_output=True, text=True, check=False
        )
        if ran.returncode:
            raise CannotCopyError(f"{tool} said: {ran.stderr.strip()[-500:]}")

    @contextmanager
    def _unpacking(self, copy: Path) -> Iterator[Iterator[bytes]]:
        with subprocess.Popen(
            [_tool("pg_restore"), "--file=-", str(copy)],
            stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        ) as tool:  # fmt: skip
            assert tool.stdout
            assert tool.stderr
            yield iter(tool.stdout)
            said = tool.stderr.read().decode(errors="replace").strip()
        if tool.returncode:
            raise CannotCopyError(f"pg_restore cannot read the copy: {said[-500:]}")


def _tool(name: str) -> str:
    found = shutil.which(name)
    if not found:
        raise CannotCopyError(MISSING_TOOL.format(tool=name))
    return found


def _tables(there: psycopg.Connection[Any]) -> list[str]:
    rows = there.execute("SELECT tablename FROM pg_tables WHERE schemaname = current_schema()")
    return [name for (name,) in rows.fetchall()]


def _sums(there: psycopg.Connection[Any]) -> TableSums:
    return {name: add_up(_rows(there, name)) for name in _tables(there)}


def _rows(there: psycopg.Connection[Any], name: str) -> Iterator[tuple[Any, ...]]:
    """Hand out the rows of a table in batches; JSON comes as the text that the database keeps."""
    with there.cursor(name="rows of a table") as cursor:
        cursor.adapters.register_loader("jsonb", TextLoader)
        cursor.itersize = BATCH
        yield from cursor.execute(sql.SQL("SELECT * FROM {}").format(sql.Identifier(name)))


def _counted(lines: Iterator[bytes]) -> dict[str, int]:
    """Count the rows in each COPY block of a dump's text."""
    counts: dict[str, int] = {}
    table = ""
    for line in lines:
        if table and line == b"\\.\n":
            table = ""
        elif table:
            counts[table] += 1
        elif line.startswith(b"COPY ") and line.endswith(b"FROM stdin;\n"):
            table = line.split(b"(")[0][5:].strip().decode().rpartition(".")[2].strip('"')
            counts[table] = 0
    return counts
