"""The folder of all that a running site writes: nobody else on the machine reads it."""

import os
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

ONLY_US = 0o077
"""Taken from the mode of every file and folder that the site makes."""
OURS = ("secret_key", "evener.sqlite3")
"""Files by which a folder is known that an earlier version made, open to others."""


def prepare_data_folder(data: Path, folders: Iterable[str]) -> None:
    """Make the folder and those below it, and shut what others could read."""
    os.umask(ONLY_US)
    for folder in folders:
        (data / folder).mkdir(parents=True, exist_ok=True)
    there = [data / name for name in OURS if (data / name).exists()]
    for path in [data, *there] if there else []:
        with suppress(OSError):  # somebody else's, who set it up so
            path.chmod(path.stat().st_mode & ~ONLY_US)
