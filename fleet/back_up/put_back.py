"""Put a copy back into an empty place: database, files and key, then compare every row."""

import os
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from zipfile import ZipFile

from fleet.back_up.copy_file import DATABASE, FILES, KEY, CopyList, reading, take_file
from fleet.back_up.make_copy import check_files, folder_beside
from fleet.back_up.row_sums import count_of, differences_of
from fleet.back_up.site_place import SitePlace
from fleet.back_up.store import CannotCopyError


@dataclass(frozen=True)
class PutBack:
    """What was put back, and from what."""

    tables: int
    rows: int
    files: int
    version: str
    made_at: str
    key_differs: bool


def put_back(site: SitePlace, source: Path) -> PutBack:
    """Fill an empty site from a copy; raise CannotCopyError where it is not empty or damaged.

    Nothing is written before the whole copy was looked through, and nothing is ever overwritten.
    """
    with reading(source) as (archive, listed), folder_beside(source) as folder:
        if listed.vendor != site.store.vendor:
            raise CannotCopyError(
                f"The copy is of {listed.vendor}, and this place is set up for"
                f" {site.store.vendor}. Put it back there; `manage.py move_to` goes on from SQLite"
                " to PostgreSQL."
            )
        _refuse_unless_empty(site, listed)
        check_files(archive, listed)
        dump = folder / DATABASE
        take_file(archive, DATABASE, dump)
        site.store.read(dump)
        there = site.store.put_back(dump)
        if wrong := differences_of(listed.tables, there):
            raise CannotCopyError(f"Not the same after it was put back: {'; '.join(wrong[:5])}.")
        for name in listed.files:
            take_file(archive, FILES + name, _inside(site.folder, name))
        key = archive.read(KEY).decode("ascii")
        _keep_key(archive, site)
        return PutBack(
            tables=len(there),
            rows=count_of(there),
            files=len(listed.files),
            version=listed.version,
            made_at=listed.made_at,
            key_differs=bool(os.environ.get("SECRET_KEY")) and key != site.key,
        )


def _refuse_unless_empty(site: SitePlace, listed: CopyList) -> None:
    if not site.store.is_empty():
        raise CannotCopyError(
            "There is a database here already. A copy is put back into an empty place only: set"
            " EVENER_DATA to a new folder, or DATABASE_URL to an empty database."
        )
    there = [name for name in listed.files if _inside(site.folder, name).exists()]
    if there:
        raise CannotCopyError(f"There are files here already, such as {there[0]}; nothing is lost.")


def _inside(folder: Path, name: str) -> Path:
    """Return where a file of the copy belongs; a name that leads out of the folder is refused."""
    path = PurePosixPath(name)
    if path.is_absolute() or ".." in path.parts:
        raise CannotCopyError(f"The copy names a file outside of the site: {name}.")
    return folder / path


def _keep_key(archive: ZipFile, site: SitePlace) -> None:
    """Put the key of the copy in the place of the one that this start has just made."""
    new = site.folder / "secret_key.new"
    take_file(archive, KEY, new)
    os.replace(new, site.folder / KEY)
