"""The demo as a person runs it: its own folder, web server, worker and schedule as processes.

The fleet is loaded and the night run once in a folder that is then copied for each test, so that
every walk begins on the same morning and none sees what another did.
"""

import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from urllib.request import ProxyHandler, build_opener

from django.conf import settings
from django.db import connections

from tests.browser.other_days import clock_of_its_own
from tests.made_tables import made_tables
from tests.services.sink import free_port
from tests.services.workers import wait_for

OF_OTHERS = ("DATABASE_URL", "REDIS_URL", "EMAIL_URL", "ALLOWED_HOSTS", "BASE_URL", "SECRET_KEY")
"""Variables of the tests that must not reach the site: it runs on the embedded default."""
DATABASE = "evener.sqlite3"
ALIAS = "live site"
PATIENCE = 150
"""Seconds that a busy machine may take to start the demo; alone it takes about five."""


@dataclass
class LiveSite:
    """One folder with its site; `start` and `stop` it, or run commands on it while it is up.

    ahead: how far its clock is ahead of the real one.
    """

    data: Path
    ahead: timedelta = timedelta(0)
    plan_seconds: float = 20.0
    port: int = 0
    demo: subprocess.Popen[bytes] | None = None

    @property
    def url(self) -> str:
        """Where it is served."""
        return f"http://127.0.0.1:{self.port}"

    @property
    def now(self) -> datetime:
        """What its clock shows."""
        return datetime.now(UTC) + self.ahead

    def migrate(self) -> None:
        """Lay its tables."""
        shutil.copyfile(made_tables(), self.data / DATABASE)

    def night(self) -> None:
        """Run its night, by command."""
        self.manage("nightly", "--seconds", str(self.plan_seconds))

    def manage(self, *words: str) -> str:
        """Run a command on its database and return what it said; a failing one raises."""
        ran = subprocess.run(
            [sys.executable, "manage.py", *words], cwd=settings.ROOT, env=self._environment(),
            capture_output=True, text=True, timeout=PATIENCE, check=False,
        )  # fmt: skip
        if ran.returncode:
            raise AssertionError(f"{words} ended with {ran.returncode}: {ran.stdout}{ran.stderr}")
        return ran.stdout

    def start(self, command: str = "demo") -> None:
        """Start web server and worker by a command, and wait until the pages answer."""
        self.port = free_port()
        with (self.data / "said.txt").open("wb") as said:
            self.demo = subprocess.Popen(
                [sys.executable, "manage.py", command, "--port", str(self.port)],
                cwd=settings.ROOT, env=self._environment(), stdout=said, stderr=said,
                start_new_session=True,
            )  # fmt: skip
        wait_for(self._answers, "the demo is up", PATIENCE)

    def stop(self) -> None:
        """Stop all of it, as Ctrl-C does."""
        if self.demo and self.demo.poll() is None:
            self.demo.send_signal(signal.SIGINT)
            self.demo.wait(timeout=PATIENCE)

    def mails(self) -> str:
        """Return what the worker has sent so far; the embedded default writes mail to files."""
        return "\n".join(path.read_text() for path in sorted((self.data / "mail").iterdir()))

    def log(self) -> str:
        """Return what the demo said, and what its web server and worker complained of."""
        files = [self.data / "said.txt", *sorted((self.data / "logs").glob("*.log"))]
        return "\n".join(path.read_text() for path in files)

    @contextmanager
    def database(self) -> Iterator[str]:
        """Look into the site's own database; yields the alias to read with."""
        connections.databases[ALIAS] = connections.databases["default"] | {
            "ENGINE": "django.db.backends.sqlite3",
            "NAME": self.data / DATABASE,
            "OPTIONS": settings.SQLITE_OPTIONS,
        }
        try:
            yield ALIAS
        finally:
            connections[ALIAS].close()
            del connections[ALIAS], connections.databases[ALIAS]

    def _answers(self) -> bool:
        said = (self.data / "said.txt").read_text()
        if self.demo and self.demo.poll() is not None:
            raise AssertionError(f"the demo ended: {said}")
        if "Ctrl-C stops" not in said:
            return False
        with build_opener(ProxyHandler({})).open(f"{self.url}/healthz", timeout=20) as page:
            return bool(page.status == 200)

    def _environment(self) -> dict[str, str]:
        kept = {name: value for name, value in os.environ.items() if name not in OF_OTHERS}
        return kept | clock_of_its_own(self.ahead) | {
            "EVENER_DATA": str(self.data), "DEBUG": "0", "PYTHONUNBUFFERED": "1",
            "DJANGO_SETTINGS_MODULE": "fleet.settings",
        }  # fmt: skip


def prepare(
    data: Path, empty: Path, ahead: timedelta = timedelta(0), plan_seconds: float = 20.0
) -> LiveSite:
    """Fill a folder with the demo fleet on the morning after its nightly run.

    empty: the folder of a migrated site that holds nothing.
    """
    site = LiveSite(data, ahead, plan_seconds)
    shutil.copy(empty / DATABASE, data / DATABASE)
    site.manage("load_demo")
    site.night()
    return site


@contextmanager
def running_copy(morning: LiveSite, data: Path) -> Iterator[LiveSite]:
    """Run a copy of a prepared site until the block ends."""
    data.mkdir(parents=True, exist_ok=True)
    shutil.copy(morning.data / DATABASE, data / DATABASE)
    site = LiveSite(data, morning.ahead, morning.plan_seconds)
    try:
        site.start()
        yield site
    finally:
        site.stop()
