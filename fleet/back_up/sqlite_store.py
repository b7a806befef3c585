"""The embedded database as a thing to copy: SQLite's own online copy, while others read and write.

https://www.sqlite.org/backup.html: all pages in one step are one moment of the database; in WAL
mode those who write meanwhile do not wait.
"""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from fleet.back_up.row_sums import TableSums, add_up
from fleet.back_up.store import CannotCopyError


class SqliteStore:
    """One SQLite file."""

    vendor = "sqlite"

    def __init__(self, file: Path) -> None:
        self.file = file

    def is_empty(self) -> bool:
        """Whether there is no table in it; a file that is not there is empty."""
        if not self.file.exists():
            return True
        with self._open(self.file) as there:
            return not _tables(there)

    def sums(self) -> TableSums:
        """Return the sums of the rows that are there now."""
        return self.read(self.file)

    def copy_to(self, target: Path) -> TableSums:
        """Copy the database as it is at one moment; return the sums of the copy."""
        if not self.file.exists():
            raise CannotCopyError(f"There is no database at {self.file} yet.")
        with self._open(self.file) as here, closing(sqlite3.connect(target)) as there:
            here.backup(there)
            there.execute("PRAGMA journal_mode=DELETE")
        return self.read(target)

    def read(self, copy: Path) -> TableSums:
        """Read a copy whole: its pages by SQLite's own check, then each row."""
        with self._open(copy) as there:
            said = there.execute("PRAGMA integrity_check(1)").fetchone()[0]
            if said != "ok":
                raise CannotCopyError(f"The database in the copy is damaged: {said}")
            return {
                name: add_up(there.execute(f'SELECT * FROM "{name}"')) for name in _tables(there)
            }

    def put_back(self, copy: Path) -> TableSums:
        """Put a copy where the database belongs; return the sums of what stands there then."""
        self.file.parent.mkdir(parents=True, exist_ok=True)
        for beside in ("-wal", "-shm"):  # of an empty database: they would be read as the copy's
            self.file.with_name(self.file.name + beside).unlink(missing_ok=True)
        new = self.file.with_name(self.file.name + ".new")
        new.write_bytes(b"")
        with self._open(copy) as here, closing(sqlite3.connect(new)) as there:
            here.backup(there)
        os.replace(new, self.file)
        return self.read(self.file)

    @contextmanager
    def _open(self, file: Path) -> Iterator[sqlite3.Connection]:
        try:
            with closing(sqlite3.connect(file, timeout=20)) as there:
                yield there
        except sqlite3.Error as error:
            raise CannotCopyError(f"SQLite could not read or write {file}: {error}") from error


def _tables(there: sqlite3.Connection) -> list[str]:
    rows = there.execute(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
    )
    return [name for (name,) in rows.fetchall()]
