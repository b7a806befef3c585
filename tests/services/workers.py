"""A real Celery worker as a process of its own, on the database of the running test."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

from celery import Celery
from django.conf import settings
from django.db import connection


def wait_for(happened: Callable[[], object], what: str, seconds: float = 60) -> None:
    """Return as soon as it happened; TimeoutError with its name if it does not."""
    end = time.monotonic() + seconds
    while not happened():
        if time.monotonic() > end:
            raise TimeoutError(f"waited {seconds} s in vain: {what}")
        time.sleep(0.02)


class Workers:
    """Workers on one queue; ring reaches them as the site's own bell does.

    redis_url empty: the embedded queue, in a folder below data.
    """

    def __init__(self, data: Path, mail_port: int, redis_url: str) -> None:
        self.data, self.mail_port, self.redis_url = data, mail_port, redis_url
        self.app = "fleet"
        self.started: list[subprocess.Popen[bytes]] = []
        self.bell = Celery("bell", set_as_current=False)
        self.bell.conf.update(
            broker_url=redis_url or "filesystem://localhost",
            broker_transport_options={} if redis_url else self._folders(),
        )

    def start(self) -> subprocess.Popen[bytes]:
        """Start a worker and return at once; what is rung meanwhile waits for it."""
        command = [sys.executable, "-m", "celery", "-A", self.app, "worker", "-c", "1"]
        with (self.data / "worker.log").open("ab") as log:
            worker = subprocess.Popen(
                [*command, "--without-mingle", "--without-gossip", "-l", "WARNING"],
                env=self._environment(), cwd=settings.ROOT, stdout=log, stderr=log,
                start_new_session=True,
            )  # fmt: skip
        self.started.append(worker)
        return worker

    def kill(self, worker: subprocess.Popen[bytes]) -> None:
        """End a worker and its children as a power cut would."""
        os.killpg(worker.pid, signal.SIGKILL)
        worker.wait(timeout=10)

    def sweep(self) -> None:
        """Ring for what is owed, as the schedule does every half minute."""
        self.bell.send_task("scheduling.tasks.sweep")

    def log(self) -> str:
        """Return what the workers wrote."""
        return (self.data / "worker.log").read_text()

    def close(self) -> None:
        """End whatever still runs."""
        for worker in self.started:
            if worker.poll() is None:
                self.kill(worker)
        self.bell.close()

    def _folders(self) -> dict[str, object]:
        for name in ("queue", "control"):
            (self.data / name).mkdir(exist_ok=True)
        queue = str(self.data / "queue")
        return {
            "data_folder_in": queue, "data_folder_out": queue,
            "control_folder": str(self.data / "control"),
        }  # fmt: skip

    def _environment(self) -> dict[str, str]:
        return os.environ | {
            "DATABASE_URL": database_url(),
            "REDIS_URL": self.redis_url,
            "EMAIL_URL": f"smtp://127.0.0.1:{self.mail_port}",
            "EVENER_DATA": str(self.data),
            "BASE_URL": settings.BASE_URL,
        }


def database_url() -> str:
    """Return the address of the test's own database for another process."""
    name = connection.settings_dict["NAME"]
    if connection.vendor == "sqlite":
        return f"sqlite:///{name}"
    return urlunsplit(urlsplit(os.environ["DATABASE_URL"])._replace(path=f"/{name}"))
