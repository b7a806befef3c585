"""Make a copy of the site, and read it back.

Order: the database first, then the files, so that each photo that the copied rows name is there.
"""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from zipfile import ZipFile

from fleet.back_up.copy_file import (
    DATABASE,
    FILES,
    KEY,
    LIST,
    CopyList,
    put_file,
    reading,
    sum_of_file,
    take_file,
    writing,
)
from fleet.back_up.folder_beside import folder_beside
from fleet.back_up.row_sums import TableSums, count_of
from fleet.back_up.site_place import SitePlace
from fleet.back_up.store import CannotCopyError
from fleet.version import VERSION


@dataclass(frozen=True)
class MadeCopy:
    """What a copy holds, and its size in bytes."""

    tables: int
    rows: int
    files: int
    size: int


def make_copy(site: SitePlace, target: Path, now: datetime) -> MadeCopy:
    """Copy the running site into one file; raise CannotCopyError with the reason."""
    if target.is_dir():
        raise CannotCopyError(f"{target} is a folder; name a file in it.")
    if not target.parent.is_dir():
        raise CannotCopyError(f"There is no folder {target.parent}; make it first.")
    with folder_beside(target) as folder, writing(target, folder) as archive:
        dump = folder / DATABASE
        sums = site.store.copy_to(dump)
        made = CopyList(VERSION, now.isoformat(), site.store.vendor, sums)
        put_file(archive, DATABASE, dump)
        dump.unlink()
        for path in site.files():
            name = path.relative_to(site.folder).as_posix()
            try:
                made.files[name] = put_file(archive, FILES + name, path)
            except FileNotFoundError:
                continue  # taken away since the folder was looked through
        archive.writestr(KEY, site.key)
        archive.writestr(LIST, made.as_json())
    return MadeCopy(len(sums), count_of(sums), len(made.files), target.stat().st_size)


def read_back(site: SitePlace, source: Path) -> MadeCopy:
    """Read a copy whole and hold it against its list; raise CannotCopyError where it differs.

    site: its make of database tells how the database in the copy is read.
    """
    with reading(source) as (archive, listed), folder_beside(source) as folder:
        check_files(archive, listed)
        if not archive.read(KEY):
            raise CannotCopyError("The key is missing in the copy.")
        if listed.vendor != site.store.vendor:
            raise CannotCopyError(
                f"The copy is of {listed.vendor} and this site runs on {site.store.vendor}."
            )
        dump = folder / DATABASE
        take_file(archive, DATABASE, dump)
        wrong = _wrong(listed.tables, site.store.read(dump))
        if wrong:
            raise CannotCopyError(f"The copy differs from its list: {'; '.join(wrong[:5])}.")
        tables, rows = len(listed.tables), count_of(listed.tables)
        return MadeCopy(tables, rows, len(listed.files), source.stat().st_size)


def check_files(archive: ZipFile, listed: CopyList) -> None:
    """Raise CannotCopyError where a file of the copy is not as its list says."""
    for name, digest in listed.files.items():
        if sum_of_file(archive, FILES + name) != digest:
            raise CannotCopyError(f"The file {name} in the copy is damaged.")


def _wrong(listed: TableSums, read: TableSums) -> list[str]:
    """Say which tables differ; where only rows were counted, their number alone is compared."""
    return [
        name
        for name in sorted({*listed, *read})
        if name not in read
        or name not in listed
        or listed[name].rows != read[name].rows
        or (read[name].digest and listed[name] != read[name])
    ]
