"""The warden: ends what a supervisor has started when the supervisor itself is killed.

A process that is killed with -9 can end nobody.  So a small process in a session of its own reads
from a pipe whose other end the supervisor alone holds: numbers of process groups as they are
started and over, one a line.  When the pipe ends without a word of farewell, it asks all that are
left to end, waits, and then ends them by force.  It works wherever POSIX does, and reads no clock
but its own.

Run as a program: `python -m scheduling.serving.warden`, with the pipe as standard input.
"""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterable
from contextlib import suppress

PATIENCE = 6.0
"""Seconds that the orphans have to end in good order."""
FAREWELL = "bye"


class Warden:
    """The supervisor's end of the pipe; the process is started anew should somebody kill it."""

    def __init__(self) -> None:
        self._process: subprocess.Popen[str] | None = None
        self._groups: set[int] = set()

    def watch_over(self, groups: Iterable[int]) -> None:
        """Tell which process groups are to be ended with us."""
        self._groups = set(groups)
        if self._process is None or self._process.poll() is not None:
            self._process = _start()
        self._say(" ".join(map(str, sorted(self._groups))))

    @property
    def lives(self) -> bool:
        """Whether it runs."""
        return self._process is not None and self._process.poll() is None

    def dismiss(self) -> None:
        """Let it go; there is nothing left to end."""
        if self._process is None:
            return
        self._say(FAREWELL)
        with suppress(OSError):
            assert self._process.stdin
            self._process.stdin.close()
        self._process.wait()
        self._process = None

    def _say(self, line: str) -> None:
        with suppress(OSError):  # it was killed this moment; the next look starts another
            assert self._process
            assert self._process.stdin
            self._process.stdin.write(line + "\n")
            self._process.stdin.flush()


def _start() -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "scheduling.serving.warden"],
        stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        text=True, start_new_session=True,
    )  # fmt: skip


def keep_watch(lines: Iterable[str]) -> None:
    """Read until the pipe ends; end what is left unless farewell was said."""
    groups: list[int] = []
    for line in lines:
        if line.strip() == FAREWELL:
            return
        groups = [int(word) for word in line.split()]
    _signal(groups, signal.SIGTERM)
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end and any(_there(group) for group in groups):
        time.sleep(0.1)
    _signal(groups, signal.SIGKILL)


def _signal(groups: Iterable[int], number: signal.Signals) -> None:
    for group in groups:
        with suppress(ProcessLookupError, PermissionError):
            os.killpg(group, number)


def _there(group: int) -> bool:
    try:
        os.killpg(group, 0)
    except (ProcessLookupError, PermissionError):
        return False
    return True


if __name__ == "__main__":
    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, signal.SIG_IGN)
    keep_watch(sys.stdin)
