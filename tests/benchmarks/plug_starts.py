"""Starts and ends of `demo` and `serve`: twice at once, killed, with the queue's folder gone."""

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from sqlite3 import connect
from urllib.error import HTTPError, URLError
from urllib.request import ProxyHandler, build_opener

from tests.benchmarks.plug_places import (
    ROOT,
    Places,
    end_group,
    environment,
    free_port,
    manage,
    must,
    processes_in,
    run,
)

LONGEST = 600.0
"""Seconds until a site has to answer on a busy machine."""
ENDING = 30.0
"""Seconds in which what a killed site started has to be gone."""
OWE = """
import django; django.setup()
from django.utils import timezone
from fleet.models import Machine
from scheduling.models import OutboxEntry
from scheduling.outbox.entries import owe
from uuid import uuid4
now = timezone.now()
machines = list(Machine.objects.values_list("pk", flat=True)[:2])
print(owe(f"refresh:{uuid4().hex}", OutboxEntry.Kind.REFRESH, {"machines": machines}, now, now).pk)
"""


def start(folder: Path, *words: str, **more: str) -> "subprocess.Popen[bytes]":
    """Start a command that serves; what it says goes to a file in its folder."""
    with (folder / "said.txt").open("ab") as said:
        return subprocess.Popen(
            [sys.executable, *words], cwd=ROOT, env=environment(folder, **more), stdout=said,
            stderr=subprocess.STDOUT, start_new_session=True,
        )  # fmt: skip


def serving(folder: Path, command: str, port: int) -> "subprocess.Popen[bytes]":
    """Start `demo` or `serve` at a port."""
    return start(folder, "manage.py", command, "--port", str(port))


def ask(port: int, path: str) -> tuple[int, str]:
    """Return status and text of an answer; 0 where nobody answers."""
    try:
        with build_opener(ProxyHandler({})).open(f"http://127.0.0.1:{port}{path}", timeout=30) as p:
            return p.status, p.read().decode()
    except HTTPError as refused:
        return refused.code, refused.read().decode()
    except (URLError, OSError):
        return 0, ""


def wait_for(happened: Callable[[], object], what: str, seconds: float = LONGEST) -> float:
    """Wait until it happened; return after how many seconds."""
    began = time.monotonic()
    while not happened():
        if time.monotonic() > began + seconds:
            raise AssertionError(f"waited {seconds:.0f} s in vain: {what}")
        time.sleep(0.1)
    return time.monotonic() - began


def is_up(port: int) -> bool:
    """Whether the site answers that it is up, its queue too."""
    status, said = ask(port, "/healthz")
    return status == 200 and json.loads(said)["queue"] == "up"


def workers_in(folder: Path) -> set[int]:
    """Return the processes that serve or work."""
    return {pid for pid, line in processes_in(folder).items()
            if "fleet.wsgi" in line or "celery -A fleet" in line}  # fmt: skip


def first_start_twice(places: Places) -> str:
    """Start the demo twice at once in an empty folder: one comes up, the other says where."""
    folder, ports = places.new(), (free_port(), free_port())
    both = [serving(folder, "demo", port) for port in ports]
    try:
        wait_for(lambda: any(one.poll() is not None for one in both), "one of the two to give up")
        other = next(one for one in both if one.poll() is not None)
        said = (folder / "said.txt").read_text()
        assert other.returncode == 2, said[-2000:]
        assert "A site runs in" in said, said[-2000:]
        assert "Traceback" not in said, said[-2000:]
        port = ports[1 - both.index(other)]
        took = wait_for(lambda: is_up(port), "the other to be up")
        return (
            f"one up (ready {took:.0f} s after the other gave up), the other refused with status 2"
        )
    finally:
        for one in both:
            end_group(one)
        wait_for(lambda: not processes_in(folder), "all to end", ENDING)


def migrated_twice(places: Places) -> str:
    """Make the tables of one empty place by two commands at once."""
    folder = places.new()
    both = [start(folder, "manage.py", "migrate", "-v0") for _ in range(2)]
    ends = sorted(one.wait(timeout=LONGEST) for one in both)
    must(manage(folder, "migrate", "-v0"))
    must(manage(folder, "migrate", "--check"))
    return f"status {ends[0]} and {ends[1]}; `migrate` after that finds nothing to do"


def killed(places: Places, command: str) -> str:
    """Kill a site with -9 and start it again at once; then kill it and look for orphans."""
    folder, port = places.new(places.loaded()), free_port()
    first = serving(folder, command, port)
    wait_for(lambda: is_up(port), f"`{command}` to be up")
    of_first = workers_in(folder)
    assert len(of_first) >= 2, processes_in(folder)
    os.kill(first.pid, signal.SIGKILL)  # the supervisor alone: it can end nobody
    first.wait()
    again, beside = serving(folder, command, other := free_port()), 0
    began = time.monotonic()
    while not (up := is_up(other)) and time.monotonic() < began + LONGEST:
        here = workers_in(folder)
        beside += bool(here & of_first) and bool(here - of_first - children_of(of_first))
        time.sleep(0.05)
    assert up, (folder / "said.txt").read_text()[-2000:]
    took = time.monotonic() - began
    assert not beside, f"seen beside each other {beside} times"
    os.kill(again.pid, signal.SIGKILL)
    again.wait()
    gone = wait_for(lambda: not processes_in(folder), "orphans to end", ENDING)
    return f"up again after {took:.0f} s, never beside the first; no orphan after {gone:.1f} s"


def children_of(pids: set[int]) -> set[int]:
    """Return what processes have started, so that a late child of the first is not the second's."""
    found = set()
    for pid in pids:
        file = Path(f"/proc/{pid}/task/{pid}/children")
        try:
            found |= {int(one) for one in file.read_text().split()}
        except OSError:
            continue
    return found


def queue_deleted(places: Places) -> str:
    """Delete the folders of the embedded queue while the site runs, and owe it work."""
    folder, port = places.new(places.loaded()), free_port()
    site = serving(folder, "serve", port)
    try:
        wait_for(lambda: is_up(port), "`serve` to be up")
        for name in ("queue", "control"):
            shutil.rmtree(folder / name)
        ran = run(folder, ["-c", OWE], DJANGO_SETTINGS_MODULE="fleet.settings")
        number = int(must(ran).last)
        took = wait_for(lambda: is_done(folder, number), "the work to be done", 180)
        back = wait_for(lambda: is_up(port), "the site to be up", 180)
        return f"owed work done after {took:.0f} s, `/healthz` up {back:.0f} s later"
    finally:
        end_group(site)
        wait_for(lambda: not processes_in(folder), "all to end", ENDING)


def is_done(folder: Path, number: int) -> bool:
    """Whether what is owed was done."""
    with closing(connect(folder / "evener.sqlite3", timeout=60)) as there:
        asked = "select done_at from scheduling_outboxentry where id = ?"
        return bool(there.execute(asked, [number]).fetchone()[0])
