"""Places in which the plug is pulled: folders, servers and processes that are thrown away."""

import os
import random
import shutil
import signal
import socket
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
OF_OTHERS = (
    "DATABASE_URL", "REDIS_URL", "EMAIL_URL", "BASE_URL", "ALLOWED_HOSTS", "SECRET_KEY",
    "BACK_UP_FOLDER", "METRICS_KEY",
)  # fmt: skip
LONGEST = 900.0
"""Seconds that a command may take on a busy machine."""
MACHINES = 12
"""A fleet small enough that a trial is short."""

Counts = dict[str, int]
"""Table -> rows."""


def free_port() -> int:
    """Return a port on which nothing listens now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def environment(folder: Path, **more: str) -> dict[str, str]:
    """Return an environment for a site in a folder, with nothing of ours but what is said."""
    kept = {name: value for name, value in os.environ.items() if name not in OF_OTHERS}
    return kept | {
        "EVENER_DATA": str(folder), "LOG_LEVEL": "CRITICAL", "PYTHONUNBUFFERED": "1",
        "PYTHONPATH": str(ROOT),
    } | more  # fmt: skip


@dataclass(frozen=True)
class Ended:
    """How a command ended and what it said; the status of a killed one is negative."""

    status: int
    said: str
    seconds: float

    @property
    def last(self) -> str:
        """Return the last line of what it said."""
        return (self.said.strip().splitlines() or [""])[-1]


def run(folder: Path, words: Sequence[str], *, after: float = 0.0, **more: str) -> Ended:
    """Run Python to its end, or kill its process group after so many seconds, as no power does."""
    began = time.monotonic()
    with tempfile.TemporaryFile("w+") as said:
        process = subprocess.Popen(
            [sys.executable, *words], cwd=ROOT, env=environment(folder, **more),
            stdout=said, stderr=subprocess.STDOUT, start_new_session=True,
        )  # fmt: skip
        try:
            process.wait(timeout=after or LONGEST)
        except subprocess.TimeoutExpired:
            end_group(process)
        said.seek(0)
        return Ended(process.returncode, said.read(), time.monotonic() - began)


def manage(folder: Path, *words: str, **more: str) -> Ended:
    """Run a command of ours to its end."""
    return run(folder, ["manage.py", *words], **more)


def must(ended: Ended) -> Ended:
    """Return how a command ended, which has to be well."""
    if ended.status:
        raise AssertionError(f"status {ended.status}: {ended.said[-2000:]}")
    return ended


def end_group(process: "subprocess.Popen[bytes]") -> None:
    """Kill a process and all of its group at once."""
    with suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)
    process.wait()


def counts_of(folder: Path) -> Counts:
    """Return the rows of each table; a database that is damaged raises."""
    file = folder / "evener.sqlite3"
    if not file.exists():
        return {}
    with closing(sqlite3.connect(file, timeout=60)) as there:
        said = there.execute("PRAGMA integrity_check(1)").fetchone()[0]
        assert said == "ok", said
        broken = there.execute("PRAGMA foreign_key_check").fetchall()
        assert not broken, broken[:3]
        names = there.execute(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
        )
        return {
            name: there.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0]
            for (name,) in names.fetchall()
        }


def processes_in(folder: Path) -> dict[int, str]:
    """Return the command lines of processes that live in a folder (Linux)."""
    found = {}
    for entry in Path("/proc").iterdir():
        try:
            words = (entry / "environ").read_bytes().split(b"\0") if entry.name.isdigit() else []
            if f"EVENER_DATA={folder}".encode() in words:
                found[int(entry.name)] = (entry / "cmdline").read_text().replace("\0", " ")
        except OSError:
            continue
    return {pid: line for pid, line in found.items() if line}


@dataclass
class Places:
    """A folder below which everything is made, and one with sites that were prepared once."""

    folder: Path
    prepared: Path
    chance: random.Random = field(default_factory=lambda: random.Random(13))
    made: int = 0

    def new(self, like: Path | None = None) -> Path:
        """Return a new folder: empty, or with a copy of a site."""
        self.made += 1
        there = self.folder / f"site{self.made}"
        if like is None:
            there.mkdir()
        else:
            shutil.copytree(like, there)
        return there

    def migrated(self) -> Path:
        """Return a site with tables and no row of anybody's."""
        there = self.prepared / "migrated"
        if not there.exists():
            must(manage(there, "migrate", "-v0"))
        return there

    def loaded(self) -> Path:
        """Return a site with a small fleet that has had a night."""
        there = self.prepared / "loaded"
        if not there.exists():
            fresh = self.new(self.migrated())
            must(manage(fresh, "load_demo", "--machines", str(MACHINES)))
            must(manage(fresh, "nightly", "--seconds", "1"))
            (fresh / "photos" / "2026").mkdir(parents=True)
            for number in range(40):
                (fresh / "photos" / "2026" / f"{number}.jpg").write_bytes(os.urandom(200_000))
            shutil.move(fresh, there)
        return there


@contextmanager
def places(prepared: Path | None = None) -> Iterator[Places]:
    """Hold a folder for the time of the trials; prepared: where sites to copy are kept longer."""
    with tempfile.TemporaryDirectory(prefix="pull-the-plug-") as folder:
        kept = prepared or Path(folder) / "prepared"
        kept.mkdir(parents=True, exist_ok=True)
        yield Places(Path(folder), kept)


def differing(one: Mapping[str, int], other: Mapping[str, int]) -> Counts:
    """Return by how many rows each table of one differs from the other's."""
    found = {name: one.get(name, 0) - other.get(name, 0) for name in {*one, *other}}
    return {name: by for name, by in sorted(found.items()) if by}
