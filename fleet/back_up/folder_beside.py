"""A folder for the time of the work, beside the file that is made or read.

It holds the whole database, so none may be left for good by a work that was killed: whoever works
holds a lock on its folder, which the system lets go of with it, and the next takes away each folder
that nobody holds.
"""

import fcntl
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from fleet.back_up.store import CannotCopyError

NAME = ".copying-"


@contextmanager
def folder_beside(target: Path) -> Iterator[Path]:
    """Make a folder on the disk of a file, which has the room for it; take it away at the end."""
    try:
        _take_away_left(target.parent)
        with TemporaryDirectory(prefix=NAME, dir=target.parent) as folder, _held(Path(folder)):
            yield Path(folder)
    except OSError as error:
        said = error.strerror or error
        raise CannotCopyError(f"{target.parent} cannot be written: {said}") from error


@contextmanager
def _held(folder: Path) -> Iterator[None]:
    """Hold a folder's lock; BlockingIOError where somebody else does."""
    number = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(number, fcntl.LOCK_EX | fcntl.LOCK_NB)
        yield
    finally:
        os.close(number)


def _take_away_left(parent: Path) -> None:
    for left in parent.glob(NAME + "*"):
        try:
            with _held(left):
                shutil.rmtree(left, ignore_errors=True)
        except (BlockingIOError, FileNotFoundError, PermissionError):
            continue  # somebody works there, or it is somebody else's
