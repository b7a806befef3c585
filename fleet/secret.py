"""The embedded default's secret key: made once, kept in the data folder, readable by its owner."""

import os
import secrets
from pathlib import Path


def secret_key(path: Path) -> str:
    """Return the key kept at path, making it first if it is not there.

    Two processes that start together agree: the file is created exclusively, and the one that
    comes second reads what the first wrote.
    """
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return path.read_text(encoding="ascii").strip() or _refuse(path)
    with os.fdopen(handle, "w", encoding="ascii") as file:
        key = secrets.token_urlsafe(50)
        file.write(key)
    return key


def _refuse(path: Path) -> str:
    raise RuntimeError(f"The secret key in {path} is empty; delete the file and start again.")
