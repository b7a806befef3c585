"""A PostgreSQL and a Redis of the trial's own, to be killed and started again at will."""

import os
import shutil
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

import psycopg
from redis import Redis, RedisError

from tests.benchmarks.plug_places import free_port

OWNER = "evener"


def _as_nobody_special() -> list[str]:
    """Return the words before a server's program: PostgreSQL does not run as root."""
    return ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []


@dataclass
class OwnPostgres:
    """A server in a folder of its own."""

    folder: Path
    port: int

    def url(self, name: str) -> str:
        """Return the address of a database."""
        return f"postgres://{OWNER}@127.0.0.1:{self.port}/{name}"

    def new(self, name: str) -> str:
        """Make an empty database; return its address."""
        with psycopg.connect(self.url("postgres"), autocommit=True) as there:
            there.execute(f'CREATE DATABASE "{name}" TEMPLATE template0')
        return self.url(name)

    def ctl(self, *words: str) -> None:
        """Run pg_ctl on it."""
        subprocess.run(
            [*_as_nobody_special(), _program("pg_ctl"), "-D", str(self.folder / "data"), "-w",
             "-l", str(self.folder / "log"), *words],
            check=True, stdout=subprocess.DEVNULL, cwd="/",
        )  # fmt: skip

    def start(self) -> None:
        """Start it; it listens on this machine alone."""
        self.ctl(
            "start", "-o", f"-p {self.port} -k {self.folder} -c listen_addresses=127.0.0.1",
        )  # fmt: skip

    def stop(self) -> None:
        """Stop it at once, as a power cut does: nothing is written out, nobody is waited for."""
        self.ctl("stop", "-m", "immediate")


def _program(name: str) -> str:
    found = shutil.which(name) or next(
        iter(sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}"), reverse=True)), None
    )
    if not found:
        raise AssertionError(f"{name} is needed and not there")
    return str(found)


@contextmanager
def own_postgres(folder: Path) -> Iterator[OwnPostgres]:
    """Hold a server that was never used."""
    folder.mkdir()
    folder.parent.chmod(0o711)  # the server's own user has to come through
    if os.geteuid() == 0:
        shutil.chown(folder, "postgres")
    subprocess.run(
        [*_as_nobody_special(), _program("initdb"), "-D", str(folder / "data"), "-U", OWNER,
         "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8"],
        check=True, stdout=subprocess.DEVNULL, cwd="/",
    )  # fmt: skip
    server = OwnPostgres(folder, free_port())
    server.start()
    try:
        yield server
    finally:
        with suppress(subprocess.CalledProcessError):
            server.stop()


class OwnRedis:
    """A queue that keeps on the disk what it was told, as the README asks."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.port = folder, free_port()
        folder.mkdir()
        self.process: subprocess.Popen[bytes] | None = None

    @property
    def url(self) -> str:
        """Return its address."""
        return f"redis://127.0.0.1:{self.port}/0"

    def start(self) -> None:
        """Start it, and wait until it answers."""
        self.process = subprocess.Popen(
            [shutil.which("redis-server") or "redis-server", "--port", str(self.port), "--bind",
             "127.0.0.1", "--dir", str(self.folder), "--appendonly", "yes",
             "--maxmemory-policy", "noeviction"],
            stdout=subprocess.DEVNULL,
        )  # fmt: skip
        for _ in range(200):
            with suppress(RedisError), Redis.from_url(self.url) as there:
                there.ping()
                return
            time.sleep(0.1)
        raise AssertionError("Redis does not answer")

    def stop(self) -> None:
        """Kill it."""
        if self.process:
            self.process.kill()
            self.process.wait()
