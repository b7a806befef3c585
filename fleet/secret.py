"""The embedded default's secret key: made once, kept in the data folder, readable by its owner."""

import os
import secrets
from contextlib import suppress
from pathlib import Path


def secret_key(path: Path) -> str:
    """Return the key kept at path, making it first if it is not there.

    A new key is written whole beside its place and on the disk before it gets its name, so that
    nobody ever reads half of one, and a power cut leaves none or all of it.  Two processes that
    start together agree: a name is given once, and the one that comes second reads the first's.
    """
    if not path.exists():
        _make(path)
    return path.read_text(encoding="ascii").strip() or _refuse(path)


def _make(path: Path) -> None:
    beside = path.with_name(f"{path.name}.{os.getpid()}.new")
    with open(beside, "w", encoding="ascii", opener=_private) as file:
        file.write(secrets.token_urlsafe(50))
        file.flush()
        os.fsync(file.fileno())
    try:
        with suppress(FileExistsError):
            os.link(beside, path)
    except OSError:  # a file system without links: the last of several wins, before all read it
        os.replace(beside, path)
    finally:
        beside.unlink(missing_ok=True)


def _private(name: str, flags: int) -> int:
    return os.open(name, flags, 0o600)


def _refuse(path: Path) -> str:
    raise RuntimeError(f"The secret key in {path} is empty; delete the file and start again.")
