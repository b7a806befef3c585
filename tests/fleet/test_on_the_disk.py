"""What the embedded database has answered is on the disk, and no power cut takes it."""

import pytest
from django.db import connection


def test_each_commit_of_the_embedded_database_is_written_through(db):
    if connection.vendor != "sqlite":
        pytest.skip("PostgreSQL has this by itself")
    with connection.cursor() as cursor:
        modes = [
            cursor.execute(f"PRAGMA {name}").fetchone()[0]
            for name in ("journal_mode", "synchronous")
        ]
    assert modes == ["wal", 2]  # FULL, https://www.sqlite.org/pragma.html#pragma_synchronous
