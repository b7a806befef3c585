"""Real workers killed with -9 while they send: how many letters are lost, how many twice and why.

    python -m tests.benchmarks.kill_workers [--queue redis://127.0.0.1:6379/0] [--kills 100]
        [--machines 200] [--delay 0.005]

As `kill_letters`, with the workers of a site: `celery -A fleet worker` runs on the queue that is
named, or on the embedded one in a folder; what the schedule does each 20 seconds, looking for what
is owed, is done here after each kill.  On a named queue nine times in ten the process that works is
killed and the worker starts another; each tenth time, and on the embedded queue each time, the
whole worker is, as by a power cut, and a new one is started.  On the database of DATABASE_URL,
which must be empty, or on SQLite.
"""

import os
import random
import signal
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from tests.benchmarks.letter_kills import (
    DEAD,
    KILLED,
    asked,
    closing,
    free_what_the_dead_held,
    mail_server,
    moment_to_kill,
    owed_letters,
    set_up,
    settled,
    write_moment,
)

WHOLE_EVERY = 10
"""Each so many-th kill ends the worker and not only the process in it that works."""
LOOK_EVERY = 5.0
"""Seconds between two looks at what is owed; a bell that nobody hears is forgotten."""
LONGEST_LOOK = 60.0
"""Seconds for which a worker may take to begin."""


def children_of(pid: int) -> list[int]:
    """Return the processes that a process started."""
    file = Path(f"/proc/{pid}/task/{pid}/children")
    return [int(one) for one in file.read_text().split()] if file.exists() else []


def kill_one(workers: Any, worker: Any, whole: bool, path: str) -> Any:
    """Kill the process that works, or all of the worker; return the worker that goes on."""
    if whole or worker.poll() is not None:
        if worker.poll() is None:
            write_moment(path, KILLED)
            workers.kill(worker)
            write_moment(path, DEAD)
        return started(workers)
    write_moment(path, KILLED)
    for pid in children_of(worker.pid):
        os.kill(pid, signal.SIGKILL)
    write_moment(path, DEAD)
    return worker


def started(workers: Any) -> Any:
    """Return a new worker, once a process in it can work; the embedded queue's works itself."""
    worker = workers.start()
    if not workers.redis_url:
        return worker
    end = time.monotonic() + LONGEST_LOOK
    while not children_of(worker.pid) and time.monotonic() < end:
        time.sleep(0.1)
    return worker


class Look:
    """Looks for what is owed and rings for it, as the schedule does, if it is time."""

    def __init__(self) -> None:
        self.looked = 0.0

    def __call__(self) -> None:
        from django.utils import timezone  # noqa: PLC0415

        from scheduling.outbox import entries  # noqa: PLC0415

        if time.monotonic() > self.looked + LOOK_EVERY:
            entries.sweep(timezone.now())
            self.looked = time.monotonic()


def kill_until_sent(workers: Any, kills: int, delay: float, path: str) -> int:
    """Kill at moments drawn by chance until all is sent; return how often."""
    killed, chance, worker, look = 0, random.Random(7), started(workers), Look()
    while owed_letters().exists():
        before = settled()
        while settled() == before and owed_letters().exists():  # until it has done one more
            look()
            time.sleep(0.02)
        if killed == kills:
            continue
        moment_to_kill(killed, path, chance, 4 * (delay + 0.03), look)
        killed += 1
        whole = killed % WHOLE_EVERY == 0 or not workers.redis_url
        worker = kill_one(workers, worker, whole, path)
        free_what_the_dead_held()
    return killed


def main() -> int:
    """Kill and count; the status is 1 where a letter was lost, or doubled for another reason."""
    want = asked(__doc__, queue="")
    signal.signal(signal.SIGTERM, lambda *_: sys.exit("stopped"))  # and its workers with it
    bell, path = set_up(want)
    from scheduling.outbox import entries  # noqa: PLC0415
    from tests.services.workers import Workers  # noqa: PLC0415

    with mail_server(want, path):
        workers = Workers(Path(tempfile.mkdtemp(prefix="kill-workers-")), want.port, want.queue)
        workers.app = "tests.benchmarks.told_worker"
        entries.app, entries.ring = workers.bell, bell
        began = time.monotonic()
        try:
            killed = kill_until_sent(workers, want.kills, want.delay, path)
        finally:
            workers.close()
        seconds = time.monotonic() - began
    return closing(want, path, "Redis" if want.queue else "folder", killed, seconds)


if __name__ == "__main__":
    sys.exit(main())
