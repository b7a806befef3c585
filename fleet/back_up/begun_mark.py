"""A mark in the site's folder while a copy is being put back into it.

It stands from before the first thing is written until the last is on the disk.  A site that was
put back by halves (the power went) is known by it: it does not start, and the same copy goes on.
"""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

NAME = "restore.part"


def is_half(folder: Path, digest: str = "") -> bool:
    """Whether a copy was put back by halves; the copy with this digest, where one is given."""
    mark = folder / NAME
    return mark.exists() and (not digest or mark.read_text() == digest)


@contextmanager
def begun(folder: Path, digest: str) -> Iterator[None]:
    """Hold the mark of a copy; whatever cuts the work off leaves it."""
    folder.mkdir(parents=True, exist_ok=True)
    mark = folder / NAME
    mark.write_text(digest)
    yield
    os.sync()
    mark.unlink()
