"""Files that a command brings in come one after the other, so that one cut off is known as such."""

import fcntl
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def one_at_a_time(folder: Path) -> Iterator[None]:
    """Wait until no other command brings a file in; the system lets go with a killed one."""
    with (folder / "bring_in.lock").open("a") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield
