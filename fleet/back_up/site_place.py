"""The site as a thing to copy: its database, its folder of files, its key."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings

from fleet.back_up.postgres_store import PostgresStore
from fleet.back_up.sqlite_store import SqliteStore
from fleet.back_up.store import CannotCopyError, Store
from fleet.photos_aside import ASIDE

LEFT_OUT = frozenset({"queue", "control", "logs", "static", "mail", "back_ups", "secret_key"})
"""What lies in the folder and is no part of a copy: what is made again by itself, letters that
stand in the database too, older copies; the key has a place of its own in the copy."""
LEFT_OUT_ENDS = (".lock", ".new", ".part")
DATABASE = ".sqlite3"
"""In the name of a database's file and of those beside it.  They are never opened as files: whoever
closes one gives up the locks by which SQLite knows that it is in use (POSIX, close)."""


@dataclass(frozen=True)
class SitePlace:
    """Where a site keeps what it must not lose."""

    store: Store
    folder: Path
    key: str

    def files(self) -> list[Path]:
        """Return the files of the folder that belong into a copy, photos above all."""
        if not self.folder.exists():
            return []
        found = [
            path
            for top in sorted(self.folder.iterdir())
            if top.name not in LEFT_OUT and not top.name.startswith("beat")
            for path in ([top] if top.is_file() else sorted(top.rglob("*")))
        ]
        # photos of forms that were refused are let go of at any moment
        return [
            path for path in found
            if path.is_file() and _belongs(path.name) and ASIDE not in path.parts
        ]  # fmt: skip


def _belongs(name: str) -> bool:
    return DATABASE not in name and not name.endswith(LEFT_OUT_ENDS)


def this_site(database: Mapping[str, Any] | None = None) -> SitePlace:
    """Return the site that the settings name; with another database where one is given."""
    found = database or settings.DATABASES["default"]
    return SitePlace(store_of(found), Path(settings.DATA), settings.SECRET_KEY)


def store_of(database: Mapping[str, Any]) -> Store:
    """Return a database, by its Django settings, as a thing to copy."""
    engine = str(database["ENGINE"])
    if engine.endswith("sqlite3"):
        return SqliteStore(Path(database["NAME"]))
    if engine.endswith("postgresql"):
        return PostgresStore(database)
    raise CannotCopyError(f"{engine} is neither SQLite nor PostgreSQL; it cannot be copied here.")
