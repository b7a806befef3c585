"""A disk that fills while `serve` runs on it, and has room again; it takes root to mount it."""

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from http.cookiejar import CookieJar
from pathlib import Path

from tests.benchmarks.plug_places import Places, end_group, free_port, processes_in, run
from tests.benchmarks.plug_servers import look, sign_in
from tests.benchmarks.plug_starts import ENDING, OWE, is_done, is_up, serving, wait_for

ROOM = 160
"""Megabytes of the disk."""
READ = ("/yard/", "/counter/", "/machines/", "/notices/", "/nights/")
"""Pages that only read."""


@contextmanager
def small_disk(folder: Path) -> Iterator[Path]:
    """Hold a disk in memory that is soon full."""
    if os.geteuid():
        raise AssertionError("a small disk is mounted by root alone")
    folder.mkdir()
    subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={ROOM}m", "tmpfs", folder], check=True)
    try:
        yield folder
    finally:
        subprocess.run(["umount", "-l", folder], check=True)


def fill(folder: Path) -> Path:
    """Take all the room there is, to the last byte."""
    file = folder / "filling"
    with file.open("ab", buffering=0) as out:
        size = 1 << 20
        while size:
            try:
                out.write(b"x" * size)
            except OSError:
                size //= 2
    return file


def disk_full(places: Places) -> str:
    """Fill the disk of a running site, look at what it says, make room, look again."""
    with small_disk(places.folder / "disk") as disk:
        folder, port = disk / "site", free_port()
        shutil.copytree(places.loaded(), folder)
        site = serving(folder, "serve", port)
        try:
            wait_for(lambda: is_up(port), "`serve` to be up")
            jar = CookieJar()
            assert sign_in(port, jar) == 200
            return _while_full(folder, port, jar)
        finally:
            end_group(site)
            wait_for(lambda: not processes_in(folder), "all to end", ENDING)


def _while_full(folder: Path, port: int, jar: CookieJar) -> str:
    filling = fill(folder)
    read = {path: look(port, path, jar)[0] for path in READ}
    assert set(read.values()) == {200}, read
    said = _write(port)
    owed = run(folder, ["-c", OWE], DJANGO_SETTINGS_MODULE="fleet.settings")
    assert owed.status, "there was room after all"
    assert processes_in(folder), "the site has given up"
    filling.unlink()
    back = wait_for(lambda: sign_in_works(port), "a page to write again", 120)
    number = int(run(folder, ["-c", OWE], DJANGO_SETTINGS_MODULE="fleet.settings").last)
    took = wait_for(lambda: is_done(folder, number), "owed work to be done", 180)
    return (
        f"{len(READ)} pages read on, a press says {said!r}; writing again {back:.0f} s after there"
        f" was room, owed work done after {took:.0f} s, nothing started again by hand"
    )


def _write(port: int) -> str:
    """Press what writes; return the sentence of the answer."""
    status, page = press(port)
    assert status == 503, (status, page[:300])
    assert "No room on the disk" in page, page[:500]
    return "No room on the disk"


def press(port: int) -> tuple[int, str]:
    """Sign in from another phone, which writes who is signed in."""
    jar = CookieJar()
    look(port, "/sign-in/", jar)
    token = next(one.value or "" for one in jar if one.name == "csrftoken")
    form = {"username": "wes", "password": "wide-gate-open", "csrfmiddlewaretoken": token}
    return look(port, "/sign-in/", jar, form)


def sign_in_works(port: int) -> bool:
    """Whether a press that writes goes through."""
    return press(port)[0] == 200
