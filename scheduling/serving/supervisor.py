"""Web server, worker and schedule held together as the children of one process.

Each child leads a process group of its own, so that a signal from the terminal does not reach it
behind our back, and so that stopping it stops whatever it has started itself.
"""

import os
import signal
import subprocess
import threading
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from time import monotonic
from types import FrameType
from typing import IO

from scheduling.serving.warden import Warden

STOP_SIGNALS = (signal.SIGTERM, signal.SIGINT, signal.SIGHUP)
PATIENCE = 8.0
"""Seconds that children have to end by themselves; a task cut short is owed again later."""
RESTARTS, WITHIN = 5, 60.0
"""A child that dies more often than this in so many seconds is hopeless: a demo gives up with it, a
shop's own site lets it rest before it is tried again."""
REST = 10.0
"""Seconds between two starts of a hopeless child."""
LOOK_EVERY = 0.2

Tell = Callable[[str], None]


@dataclass
class Child:
    """One program to keep running; its output goes to a log file."""

    name: str
    command: Sequence[str]
    log: Path
    started: list[float] = field(default_factory=list)
    process: subprocess.Popen[bytes] | None = None

    def start(self, env: Mapping[str, str], shared: Sequence[int] = ()) -> None:
        """Start it in a session, and so a process group, of its own.

        shared: numbers of open files that it is to hold too, such as the lock of the folder.
        """
        self.started = [*self.started[-RESTARTS:], monotonic()]
        self.process = None
        with _log_of(self.log) as out:
            self.process = _spawn(self.command, env, out, shared)

    @property
    def alive(self) -> bool:
        """Whether it runs."""
        return self.process is not None and self.process.poll() is None

    @property
    def hopeless(self) -> bool:
        """Whether it has died too often of late."""
        recent = [at for at in self.started if monotonic() - at < WITHIN]
        return len(recent) > RESTARTS

    def ask_to_end(self) -> None:
        """Ask the child itself; it ends what it has started in good order."""
        if self.alive and self.process is not None:
            self.process.terminate()

    def end_by_force(self) -> None:
        """End whatever is left of its process group, also when the child itself is gone."""
        if self.process is None:
            return
        with suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()


def _spawn(
    command: Sequence[str], env: Mapping[str, str], out: IO[bytes], shared: Sequence[int]
) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        command,
        env=dict(env),
        stdin=subprocess.DEVNULL,
        stdout=out,
        stderr=subprocess.STDOUT,
        start_new_session=True,
        pass_fds=tuple(shared),
    )


def _log_of(path: Path) -> IO[bytes]:
    """Open a log to write on; where the disk is full or shut, the words go nowhere."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        return path.open("ab")
    except OSError:
        return open(os.devnull, "ab")


class Supervisor:
    """Keeps children running until it is told to stop; then stops all of them.

    shared: open files that the children hold too.  for_good: never give up; a child that keeps
    dying is let rest for a while and tried again.
    """

    def __init__(
        self,
        children: Sequence[Child],
        env: Mapping[str, str],
        tell: Tell,
        shared: Sequence[int] = (),
        *,
        for_good: bool = False,
    ) -> None:
        self.children = children
        self.env = env
        self.tell = tell
        self.shared = shared
        self.for_good = for_good
        self._stop = threading.Event()
        self._warden = Warden()
        self._hopeless: set[str] = set()

    def start(self) -> None:
        """Listen for the signals that stop us, then start every child."""
        for number in STOP_SIGNALS:
            signal.signal(number, self._hear)
        for child in self.children:
            self._start(child)

    def _start(self, child: Child) -> None:
        try:
            child.start(self.env, self.shared)
        except OSError as error:
            self.tell(f"The {child.name} could not be started: {error.strerror or error}.")
        self._tell_warden()

    def _tell_warden(self) -> None:
        try:
            self._warden.watch_over(one.process.pid for one in self.children if one.process)
        except OSError:
            self.tell("The warden could not be started; it is tried again.")

    def _hear(self, number: int, frame: FrameType | None) -> None:
        self._stop.set()

    @property
    def stopping(self) -> bool:
        """Whether a signal to stop has come."""
        return self._stop.is_set()

    def watch(self) -> bool:
        """Restart what dies until told to stop; False if a child had to be given up."""
        while not self._stop.wait(LOOK_EVERY):
            if not self.look():
                return False
        return True

    def look(self) -> bool:
        """Restart dead children once; False if one has died too often and we may give up."""
        if not self._warden.lives:
            self._tell_warden()
        for child in self.children:
            if child.alive:
                continue
            child.end_by_force()  # what a dead child leaves behind would hold its port
            if child.hopeless and not self.for_good:
                self.tell(f"The {child.name} keeps dying; {child.log} says why.")
                return False
            if child.hopeless:
                if monotonic() - child.started[-1] < REST:
                    continue
                self._tell_once(child)
            else:
                self._hopeless.discard(child.name)
                self.tell(f"The {child.name} stopped and is being started again.")
            self._start(child)
        return True

    def _tell_once(self, child: Child) -> None:
        if child.name not in self._hopeless:
            self._hopeless.add(child.name)
            self.tell(
                f"The {child.name} keeps dying; it is tried again every {REST:.0f} seconds, and"
                f" {child.log} says why."
            )

    def stop(self) -> None:
        """Ask every child to end, wait, and end by force what has not ended."""
        for child in self.children:
            child.ask_to_end()
        end = monotonic() + PATIENCE
        pause = threading.Event()
        while monotonic() < end and any(child.alive for child in self.children):
            pause.wait(0.05)
        for child in self.children:
            child.end_by_force()
        self._warden.dismiss()
