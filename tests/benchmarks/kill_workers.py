"""Real workers killed with -9 while they send: how many letters are lost, how many come twice.

    python -m tests.benchmarks.kill_workers [--queue redis://127.0.0.1:6379/0] [--kills 100]
        [--letters 200] [--delay 0.005]

`celery -A fleet worker` runs on the queue that is named, or on the embedded one in a folder, as on
a site; what the schedule does each 20 seconds, looking for what is owed, is done here after each
kill.  On a named queue nine times in ten the process that works is killed and the worker starts
another; each tenth time, and on the embedded queue each time, the whole worker is, as by a power
cut, and a new one is started.  What a dead one held is let go of at once (play of the 35 seconds
that its lease would take).  The mail server is that of `kill_letters`.  On the database of
DATABASE_URL, which must be empty, or on SQLite.
"""

import argparse
import os
import random
import signal
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from tests.benchmarks.kill_letters import SlowServer, free_what_the_dead_held, listen, set_up

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


def kill_one(workers: Any, worker: Any, whole: bool) -> Any:
    """Kill the process that works, or all of the worker; return the worker that goes on."""
    if whole or worker.poll() is not None:
        if worker.poll() is None:
            workers.kill(worker)
        return started(workers)
    for pid in children_of(worker.pid):
        os.kill(pid, signal.SIGKILL)
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


def kill_until_sent(workers: Any, kills: int, delay: float) -> int:
    """Kill at moments drawn by chance until all is sent; return how often."""
    from django.utils import timezone  # noqa: PLC0415

    from scheduling.models import Notice  # noqa: PLC0415
    from scheduling.outbox import entries  # noqa: PLC0415

    waiting = Notice.objects.filter(sent_at=None, failed_at=None)
    killed, chance, worker = 0, random.Random(7), started(workers)
    while waiting.exists():
        before, looked = waiting.count(), 0.0
        while waiting.count() == before > 0:  # until it has sent one more
            if time.monotonic() > looked + LOOK_EVERY:
                entries.sweep(timezone.now())
                looked = time.monotonic()
            time.sleep(0.02)
        if killed == kills:
            continue
        time.sleep(chance.uniform(0, 4 * (delay + 0.03)))
        killed += 1
        whole = killed % WHOLE_EVERY == 0 or not workers.redis_url
        worker = kill_one(workers, worker, whole)
        free_what_the_dead_held()
    return killed


def asked() -> argparse.Namespace:
    said = argparse.ArgumentParser(description=__doc__)
    said.add_argument("--queue", default="")
    said.add_argument("--kills", type=int, default=100)
    said.add_argument("--letters", type=int, default=200)
    said.add_argument("--delay", type=float, default=0.005)
    said.add_argument("--port", type=int, default=2598)
    return said.parse_args()


def main() -> int:
    """Kill and count; the status is 1 where a letter was lost."""
    want = asked()
    bell = set_up(want.port, want.letters)
    from scheduling.outbox import entries  # noqa: PLC0415
    from tests.services.workers import Workers  # noqa: PLC0415

    counting, told = os.pipe()
    listener = os.fork()
    if listener == 0:
        listen(SlowServer(want.delay), want.port, told)
    os.close(told)
    workers = Workers(Path(tempfile.mkdtemp(prefix="kill-workers-")), want.port, want.queue)
    entries.app = workers.bell
    entries.ring = bell
    began = time.monotonic()
    try:
        killed = kill_until_sent(workers, want.kills, want.delay)
    finally:
        workers.close()
        os.kill(listener, signal.SIGTERM)
    with os.fdopen(counting, "rb") as read:
        ids = read.read().decode().split("\n")
    os.waitpid(listener, 0)
    lost, twice = want.letters - len(set(ids)), len(ids) - len(set(ids))
    sys.stdout.write(
        f"{'Redis' if want.queue else 'folder'}: {want.letters} letters, {killed} kills, server"
        f" {1000 * want.delay:.0f} ms: {lost} lost, {twice} twice,"
        f" {time.monotonic() - began:.0f} s\n"
    )
    return 1 if lost else 0


if __name__ == "__main__":
    sys.exit(main())
