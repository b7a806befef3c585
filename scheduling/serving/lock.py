"""One demo at a time in one folder: two schedules on one queue would ring every bell twice."""

import fcntl
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


class DemoRunsError(Exception):
    """A demo runs in this folder already."""


@contextmanager
def hold_lock(folder: Path, address: str) -> Iterator[None]:
    """Hold the folder's lock while the demo runs; the system lets go of it however we end.

    Raises:
        DemoRunsError: another demo holds it; says at which address.

    """
    with (folder / "demo.lock").open("a+") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as error:
            lock.seek(0)
            raise DemoRunsError(
                f"A demo runs in {folder} already, at {lock.read().strip()}. Stop it first, or"
                " set EVENER_DATA to another folder."
            ) from error
        lock.truncate(0)
        lock.write(address)
        lock.flush()
        yield
