"""The file of a copy: a zip archive with the database, the site's files, its key and a list.

The list (`copy.json`) says what is in it: program version, rows and sum of each table, size and
SHA-256 of each file.  Only its owner may read it: it holds the key and who may sign in.
"""

import json
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field
from hashlib import file_digest, sha256
from pathlib import Path
from typing import Any, BinaryIO
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo

from fleet.back_up.row_sums import TableSum, TableSums
from fleet.back_up.store import CannotCopyError

LIST, DATABASE, KEY, FILES = "copy.json", "database", "secret_key", "files/"
FORM = 1
"""Which form of the file this is, so that a later program can read an earlier one."""
CHUNK = 1 << 20


@dataclass
class CopyList:
    """What a copy holds."""

    version: str
    made_at: str
    vendor: str
    tables: TableSums
    files: dict[str, str] = field(default_factory=dict)
    form: int = FORM

    def as_json(self) -> str:
        """Return it as it stands in the file."""
        return json.dumps(asdict(self), indent=1)


def list_from(text: bytes) -> CopyList:
    """Read a list; raise CannotCopyError where it is none of ours."""
    try:
        found: dict[str, Any] = json.loads(text)
        if found["form"] > FORM:
            raise CannotCopyError("The copy was made by a newer program; install that one first.")
        found["tables"] = {name: TableSum(**one) for name, one in found["tables"].items()}
        return CopyList(**found)
    except (ValueError, TypeError, KeyError) as error:
        raise CannotCopyError("The list in the copy cannot be read; it is damaged.") from error


@contextmanager
def writing(target: Path, folder: Path) -> Iterator[ZipFile]:
    """Write an archive in a folder beside its place; move it there once it is whole on the disk.

    What stood in its place stays until then.
    """
    part = folder / "copy.part"
    try:
        with os.fdopen(os.open(part, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600), "w+b") as raw:
            with ZipFile(raw, "w", ZIP_DEFLATED, compresslevel=6) as archive:
                yield archive
            raw.flush()
            os.fsync(raw.fileno())
        os.replace(part, target)
    except OSError as error:
        raise CannotCopyError(f"{target} cannot be written: {error.strerror or error}") from error
    finally:
        part.unlink(missing_ok=True)


def put_file(archive: ZipFile, name: str, source: Path) -> str:
    """Add one file; return its SHA-256.  What is small already (photos) is not squeezed again."""
    digest = sha256()
    info = ZipInfo(name)
    info.compress_type = ZIP_DEFLATED if name == DATABASE else ZIP_STORED
    with source.open("rb") as read, archive.open(info, "w", force_zip64=True) as write:
        while chunk := read.read(CHUNK):
            digest.update(chunk)
            write.write(chunk)
    return digest.hexdigest()


@contextmanager
def reading(source: Path) -> Iterator[tuple[ZipFile, CopyList]]:
    """Open a copy and its list; whatever is wrong with it is said in a sentence."""
    try:
        with ZipFile(source) as archive:
            yield archive, list_from(archive.read(LIST))
    except FileNotFoundError as error:
        raise CannotCopyError(f"There is no file {source}.") from error
    except KeyError as error:
        raise CannotCopyError(f"{source} is no copy of a site, or part of it is gone.") from error
    except (BadZipFile, OSError, EOFError) as error:
        raise CannotCopyError(f"{source} cannot be read: {error}") from error


def take_file(archive: ZipFile, name: str, target: Path) -> None:
    """Write one file of a copy to its place, whole or not; only its owner may read it."""
    target.parent.mkdir(parents=True, exist_ok=True)
    new = target.with_name(target.name + ".new")
    with archive.open(name) as read, open(new, "wb", opener=_private) as write:
        shutil.copyfileobj(read, write, CHUNK)
    os.replace(new, target)


def sum_of_file(archive: ZipFile, name: str) -> str:
    """Return the SHA-256 of one file of a copy."""
    digest = sha256()
    with archive.open(name) as read:
        _feed(digest, read)
    return digest.hexdigest()


def is_as_listed(path: Path, digest: str) -> bool:
    """Whether a file is there as a copy lists it."""
    with path.open("rb") as read:
        return file_digest(read, "sha256").hexdigest() == digest


def _feed(digest: Any, read: BinaryIO | Any) -> None:
    while chunk := read.read(CHUNK):
        digest.update(chunk)


def _private(path: str, flags: int) -> int:
    return os.open(path, flags, 0o600)
