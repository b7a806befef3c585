"""What takes long to make and is only copied from: made once for all processes of a test run."""

import fcntl
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest


def made_once(temporary: pytest.TempPathFactory, name: str, make: Callable[[Path], object]) -> Path:
    """Return a folder that `make` filled, which is called by the first process that asks.

    The others wait for it.  What failed half-way is thrown away and made again.
    """
    base = temporary.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        base = base.parent  # each worker has a folder of its own in that of the run
    folder, whole = base / name, base / f"{name}.whole"
    with (base / f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not whole.exists():
            shutil.rmtree(folder, ignore_errors=True)
            folder.mkdir()
            make(folder)
            whole.touch()
    return folder
