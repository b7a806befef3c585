"""Pull the plug: what is there after power, disk, queue and servers went, each tried for real.

    python -m tests.benchmarks.pull_the_plug [--case NAME] [--times 3] [--only WORDS]
        [--prepared FOLDER]

Cases: `first` (the demo started twice at once in an empty folder; its tables made twice at once),
`killed` (`demo` and `serve` killed with -9 and started again), `queue` (the queue's folder deleted
while the site runs), `disk` (a small disk, mounted by root, that fills and has room again),
`commands` (each command that writes, cut off at random moments and given
again), `move_to` (the same, onto a PostgreSQL), `servers` (Redis and PostgreSQL restarted and down
by turns, with two schedules and four workers).  All of them without --case.

Everything lives in a folder, a Redis and a PostgreSQL of the trial's own, and is thrown away.
"""

import argparse
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from tests.benchmarks.plug_commands import cut_commands
from tests.benchmarks.plug_disk import disk_full
from tests.benchmarks.plug_moves import cut_moves
from tests.benchmarks.plug_places import Places, places
from tests.benchmarks.plug_servers import servers_by_turns
from tests.benchmarks.plug_starts import first_start_twice, killed, migrated_twice, queue_deleted


def _one(name: str, trial: Callable[[], str]) -> tuple[bool, str]:
    """Make one trial; return whether it held, and its line."""
    began = time.monotonic()
    try:
        fine, said = True, trial()
    except Exception as fault:  # the other trials go on
        fine, said = False, f"FAILED: {fault!r}"
    return fine, f"{name}: {said} ({time.monotonic() - began:.0f} s)"


def trials(there: Places, case: str, times: int, only: str) -> Iterator[tuple[bool, str]]:
    """Make the trials of a case, or of all; yield what each came to."""
    if case in ("first", ""):
        yield _one("first start twice at once", lambda: first_start_twice(there))
        yield _one("tables made twice at once", lambda: migrated_twice(there))
    if case in ("killed", ""):
        for command in ("demo", "serve"):
            yield _one(f"{command} killed", lambda command=command: killed(there, command))
    if case in ("queue", ""):
        yield _one("queue's folder deleted", lambda: queue_deleted(there))
    if case in ("disk", ""):
        yield _one("disk full", lambda: disk_full(there))
    if case in ("commands", ""):
        for told in cut_commands(there, times, only):
            yield not told.wrong, told.line()
    if case in ("move_to", ""):
        told = cut_moves(there, times)
        yield not told.wrong, told.line()
    if case in ("servers", ""):
        yield from (_one(name, trial) for name, trial in servers_by_turns(there))


CASES = ("first", "killed", "queue", "disk", "commands", "move_to", "servers")


def main() -> int:
    """Make the trials; the status is 1 where one did not hold."""
    said = argparse.ArgumentParser(description=__doc__)
    said.add_argument("--case", choices=CASES, default="")
    said.add_argument("--times", type=int, default=3, help="cuts of each command")
    said.add_argument("--only", default="", help="part of the name of a command")
    said.add_argument("--prepared", type=Path, help="keep the sites to copy here for another run")
    want = said.parse_args()
    all_fine = True
    with places(want.prepared) as there:
        for fine, line in trials(there, want.case, want.times, want.only):
            all_fine &= fine
            sys.stdout.write(line + "\n")
            sys.stdout.flush()
    return 0 if all_fine else 1


if __name__ == "__main__":
    sys.exit(main())
