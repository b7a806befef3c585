"""Tables of an empty site as all migrations make them, in a file to start from.

Making them takes some twenty seconds, a copy none.  The file is made by `migrate`, once for each
state of the migrations, and kept with what a running site writes; other states are thrown away.
"""

import fcntl
import os
import shutil
import subprocess
import sys
from hashlib import sha256
from pathlib import Path

import django
from django.conf import settings
from django.db.backends.sqlite3.creation import DatabaseCreation

from tests.releases.landed import present
from tests.served import environment

LONGEST = 280
"""Seconds that a busy machine may take for all migrations."""


def made_tables() -> Path:
    """Return the file; the first process that asks makes it, the others wait."""
    folder = settings.DATA / "made_tables"
    folder.mkdir(parents=True, exist_ok=True)
    made = folder / f"{_state()}.sqlite3"
    with (folder / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not made.exists():
            for old in folder.glob("*.sqlite3"):
                old.unlink()
            _migrate(folder / "making", made)
    return made


def start_from_made_tables(creation: DatabaseCreation) -> None:
    """Let a new test database begin with the tables; `migrate` then finds nothing left to do."""
    make_empty = creation._create_test_db

    def make(verbosity: int, autoclobber: bool, keepdb: bool = False) -> str | Path:
        name = make_empty(verbosity, autoclobber, keepdb)
        if not keepdb or not Path(name).exists():
            shutil.copyfile(made_tables(), name)
        return name

    creation._create_test_db = make


def _state() -> str:
    """Return what stands for the migrations as they are, ours and those of the libraries."""
    said = repr((django.VERSION, settings.INSTALLED_APPS, sorted(present().items())))
    return sha256(said.encode()).hexdigest()[:16]


def _migrate(site: Path, made: Path) -> None:
    shutil.rmtree(site, ignore_errors=True)
    site.mkdir()
    subprocess.run(
        [sys.executable, "manage.py", "migrate", "--verbosity", "0"],
        cwd=settings.ROOT, env=environment(site), check=True, timeout=LONGEST,
    )  # fmt: skip
    os.replace(site / "evener.sqlite3", made)  # closed whole: nothing is left beside it
    shutil.rmtree(site)
