"""Processes killed with -9 while they send: how many letters are lost, how many come twice and why.

    python -m tests.benchmarks.kill_letters [--kills N] [--machines N] [--delay 0.005] [--quit 0.0]

So many machines that go out tomorrow fall due while they are away: what follows is worked out, and
the desk has a letter on each.  A mail server takes `delay` seconds before it answers "250", and
`quit` seconds for its farewell.  Each worker is a process that does what is owed as the queue's
tasks do, and is killed at a moment drawn by chance, each second time soon after a "250".  What a
dead one held is let go of at once (play of the 35 seconds that its lease would take).  Of each
letter that came twice it is told when the kill was (`letter_kills`).  On the database of
DATABASE_URL, or on SQLite in a folder of its own; it must be empty.
"""

import os
import random
import signal
import sys
import time

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
    trace_marks,
    write_moment,
)


def work(path: str) -> None:
    """Do what is owed for ever, as the queue's tasks do."""
    from django.utils import timezone  # noqa: PLC0415

    from scheduling.outbox.entries import owed  # noqa: PLC0415
    from scheduling.worker.perform import perform_entry  # noqa: PLC0415

    trace_marks(path)
    while True:
        for pk in owed(timezone.now()).values_list("pk", flat=True)[:20]:
            perform_entry(pk, timezone.now(), timezone.now)
        time.sleep(0.01)


def start(path: str) -> int:
    """Start a worker; return its process."""
    from django.db import connections  # noqa: PLC0415

    connections.close_all()
    pid = os.fork()
    if pid == 0:
        try:
            work(path)
        finally:
            os._exit(1)
    return pid


def kill_until_sent(kills: int, delay: float, path: str) -> int:
    """Start workers one after the other, kill each at some moment; return how many were killed."""
    import scheduling.worker.perform  # noqa: F401, PLC0415  else each is killed while it loads this

    killed, chance = 0, random.Random(7)
    while owed_letters().exists():
        pid = start(path)
        if killed < kills:
            moment_to_kill(killed, path, chance, 0.05 + 6 * (delay + 0.03))
            killed += 1
        while killed == kills and owed_letters().exists():
            time.sleep(0.2)
        write_moment(path, KILLED)
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)
        write_moment(path, DEAD)
        free_what_the_dead_held()
    return killed


def main() -> int:
    """Kill and count; the status is 1 where a letter was lost, or doubled for another reason."""
    want = asked(__doc__)
    _, path = set_up(want)
    with mail_server(want, path):
        began = time.monotonic()
        killed = kill_until_sent(want.kills, want.delay, path)
        seconds = time.monotonic() - began
    return closing(want, path, "processes", killed, seconds)


if __name__ == "__main__":
    sys.exit(main())
