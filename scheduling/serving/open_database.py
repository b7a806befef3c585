"""The embedded database held open for as long as a site runs, so that a full disk shuts no page.

SQLite makes the files beside a database in WAL mode (`-wal`, `-shm`) when the first connection
opens it, and takes them away with the last (https://www.sqlite.org/wal.html).  On a full disk they
could not be made again, and not even a page that only reads would open.  One idle connection keeps
them there.
"""

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from typing import Any


@contextmanager
def held_open(database: Mapping[str, Any]) -> Iterator[None]:
    """Hold an SQLite database open; nothing is held of another make, or where it will not open."""
    if not str(database["ENGINE"]).endswith("sqlite3"):
        yield
        return
    with closing(sqlite3.connect(str(database["NAME"]), timeout=20)) as idle:
        try:
            idle.execute("PRAGMA journal_mode=WAL")
            idle.execute("SELECT count(*) FROM sqlite_master").fetchone()
        except sqlite3.OperationalError:
            pass  # a disk that is full at the start: the site is tried all the same
        yield
