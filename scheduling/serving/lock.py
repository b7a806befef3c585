"""One site at a time in one folder: two schedules on one queue would ring every bell twice.

The lock is held by the supervisor and by all that it starts: the system lets go of it when the last
of them has ended.  So a second start never runs beside what is left of a first that was killed.
"""

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from time import monotonic, sleep
from typing import IO


class DemoRunsError(Exception):
    """A site runs in this folder already."""


PATIENCE = 30.0
"""Seconds that what is left of a killed site may take to end before a start gives up."""


@contextmanager
def hold_lock(folder: Path, address: str, patience: float = 0.0) -> Iterator[int]:
    """Hold the folder's lock while the site runs; yield the file's number for those who share it.

    patience: seconds to wait where its first holder is dead and only others still hold it.

    Raises:
        DemoRunsError: another site holds it; says at which address.

    """
    with (folder / "demo.lock").open("a+") as lock:
        end = monotonic() + patience
        while not _taken(lock):
            where, pid = _holder(lock)
            if _lives(pid) or monotonic() > end:
                raise DemoRunsError(_sentence(folder, where, lives=_lives(pid)))
            sleep(0.2)
        lock.truncate(0)
        lock.write(f"{address}\n{os.getpid()}")
        lock.flush()
        yield lock.fileno()


def _taken(lock: IO[str]) -> bool:
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


def _holder(lock: IO[str]) -> tuple[str, int]:
    """Return the address and the process of whoever took the lock; 0 where it is not said."""
    lock.seek(0)
    address, _, pid = lock.read().strip().partition("\n")
    return address, int(pid) if pid.isdigit() else 0


def _lives(pid: int) -> bool:
    if not pid:
        return True  # not known: as if it lived
    with suppress(ProcessLookupError):
        try:
            os.kill(pid, 0)
        except PermissionError:
            return True
        return True
    return False


def _sentence(folder: Path, where: str, *, lives: bool) -> str:
    if lives:
        return (
            f"A site runs in {folder} already, at {where}. Stop it first, or set EVENER_DATA to"
            " another folder."
        )
    return (
        f"A site in {folder}, at {where}, was killed, and parts of it are still ending. Start again"
        " in a minute."
    )
