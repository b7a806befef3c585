"""Put a copy back into an empty place: database, files and key, then compare every row."""

import os
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path, PurePosixPath
from zipfile import ZipFile

from fleet.back_up.begun_mark import begun, is_half
from fleet.back_up.copy_file import (
    DATABASE,
    FILES,
    KEY,
    LIST,
    CopyList,
    is_as_listed,
    reading,
    take_file,
)
from fleet.back_up.folder_beside import folder_beside
from fleet.back_up.make_copy import check_files
from fleet.back_up.row_sums import TableSums, count_of, differences_of
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
    Database, each file and key come whole or not at all, and a mark stands in the folder
    meanwhile: cut off in the middle, the same copy is put back from where it was.
    """
    with reading(source) as (archive, listed), folder_beside(source) as folder:
        if listed.vendor != site.store.vendor:
            raise CannotCopyError(
                f"The copy is of {listed.vendor}, and this place is set up for"
                f" {site.store.vendor}. Put it back there; `manage.py move_to` goes on from SQLite"
                " to PostgreSQL."
            )
        digest = sha256(archive.read(LIST)).hexdigest()
        missing = _left_to_put(site, listed, digest)
        check_files(archive, listed)
        with begun(site.folder, digest):
            there = _put_database(site, archive, folder)
            if wrong := differences_of(listed.tables, there):
                raise CannotCopyError(
                    f"Not the same after it was put back: {'; '.join(wrong[:5])}."
                )
            for name in missing:
                take_file(archive, FILES + name, _inside(site.folder, name))
            key = archive.read(KEY).decode("ascii")
            take_file(archive, KEY, site.folder / KEY)  # in place of the one of this start
        return PutBack(
            tables=len(there),
            rows=count_of(there),
            files=len(listed.files),
            version=listed.version,
            made_at=listed.made_at,
            key_differs=bool(os.environ.get("SECRET_KEY")) and key != site.key,
        )


def _put_database(site: SitePlace, archive: ZipFile, folder: Path) -> TableSums:
    """Fill the database, where that was not done before the work was cut off."""
    if not site.store.is_empty():
        return site.store.sums()
    dump = folder / DATABASE
    take_file(archive, DATABASE, dump)
    site.store.read(dump)
    return site.store.put_back(dump)


def _left_to_put(site: SitePlace, listed: CopyList, digest: str) -> list[str]:
    """Return the files to put back; refuse a place that holds what is not of this copy."""
    there = [name for name in listed.files if _inside(site.folder, name).exists()]
    ours = is_half(site.folder, digest)
    if not ours and not site.store.is_empty():
        raise CannotCopyError(
            "There is a database here already. A copy is put back into an empty place only: set"
            " EVENER_DATA to a new folder, or DATABASE_URL to an empty database."
        )
    for name in there:
        if not ours or not is_as_listed(site.folder / name, listed.files[name]):
            raise CannotCopyError(f"There are files here already, such as {name}; nothing is lost.")
    return [name for name in listed.files if name not in there]


def _inside(folder: Path, name: str) -> Path:
    """Return where a file of the copy belongs; a name that leads out of the folder is refused."""
    path = PurePosixPath(name)
    if path.is_absolute() or ".." in path.parts:
        raise CannotCopyError(f"The copy names a file outside of the site: {name}.")
    return folder / path
