"""A site of the running test's own database to copy, and empty places to put a copy back into."""

from contextlib import contextmanager
from pathlib import Path
from uuid import uuid4

from django.db import connection

from fleet.back_up.site_place import SitePlace, store_of

KEY = "k" * 50


def site_here(folder: Path) -> SitePlace:
    """Return the test's own database with a folder of files."""
    return SitePlace(store_of(connection.settings_dict), folder, KEY)


@contextmanager
def empty_place(folder: Path):
    """Hold an empty place of the same make of database."""
    folder.mkdir()
    if connection.vendor == "sqlite":
        file = {"ENGINE": "sqlite3", "NAME": folder / "evener.sqlite3"}
        yield SitePlace(store_of(file), folder, "another")
        return
    name = f"put_back_{uuid4().hex[:12]}"
    with connection.cursor() as cursor:
        cursor.execute(f'CREATE DATABASE "{name}" TEMPLATE template0')
        try:
            there = store_of(connection.settings_dict | {"NAME": name})
            yield SitePlace(there, folder, "another")
        finally:
            cursor.execute(f'DROP DATABASE "{name}" WITH (FORCE)')
