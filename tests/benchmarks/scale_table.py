"""What pages and nights cost as a site grows: processor, size and memory by number of machines.

    python -m tests.benchmarks.scale_table [--machines 1000,10000,30000] [--url postgres://...]
        [--processes 2] [--json FILE]

For each number a demo of as many machines is loaded into a folder of its own, which is removed at
the end (with --url into that database, which has to be empty; one number at a time).  Then the
nights of all its shops are run without a search for a better plan, twice: the first writes all
rows, the second is a usual night.  Of the first shop the pages are opened as their manager sees
them.  Each step is a process of its own, so that its memory is its own.  Seconds of processor are
those of all its processes; on a busy computer they are larger than on a quiet one.  With one
process the stages of a night are told in seconds of processor too, else in those of the wall clock.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from resource import RUSAGE_CHILDREN, RUSAGE_SELF, getrusage
from typing import Any
from unittest import mock

MACHINES = "1000,10000,30000"
PAGES = ("/yard/", "/shop-days/", "/machines/", "/bench/")
TIMES = 7
"""How often a page is opened; the least counts."""
NO_SEARCH = "0.01"
"""Seconds for the plan: no more than its first places."""
MILLI = 1000.0
KILO = 1000


@dataclass(frozen=True)
class Site:
    """A site to be measured: its folder or its database, and processes for its nights."""

    folder: str
    url: str
    processes: int

    def run(self, *arguments: str) -> tuple[str, float, float]:
        """Run a command on it; return what it said, seconds of wall clock and of processor."""
        env = {**os.environ, "EVENER_DATA": self.folder}
        env |= {"DATABASE_URL": self.url} if self.url else {}
        before, wall = _spent(), time.perf_counter()
        done = subprocess.run(
            [sys.executable, *arguments], env=env, capture_output=True, text=True, check=False
        )
        if done.returncode:
            sys.exit(f"{' '.join(arguments)} failed:\n{done.stderr[-2000:]}")
        return done.stdout, time.perf_counter() - wall, _spent() - before


def _spent() -> float:
    used = getrusage(RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def measure(site: Site, machines: int) -> dict[str, Any]:
    """Return the figures of one number of machines."""
    site.run("manage.py", "migrate", "-v0")
    _, loading, _ = site.run("manage.py", "load_demo", "--machines", str(machines))
    found: dict[str, Any] = {"machines": machines, "loaded in": round(loading)}
    for name in ("first night", "night"):
        said, wall, processor = site.run(
            "-m", "tests.benchmarks.scale_table", "--night", str(site.processes)
        )
        night = json.loads(said.splitlines()[-1])
        found |= {f"{name} {key}": value for key, value in night.items()}
        found |= {f"{name} s": round(wall, 1), f"{name} processor s": round(processor, 1)}
    said, _, _ = site.run("-m", "tests.benchmarks.scale_table", "--pages")
    return found | json.loads(said.splitlines()[-1])


def open_pages() -> dict[str, Any]:
    """Return milliseconds of processor and kilobytes of each page of the first shop's manager."""
    from django.conf import settings  # noqa: PLC0415
    from django.test import Client  # noqa: PLC0415

    from fleet.models import Person, Role  # noqa: PLC0415

    settings.ALLOWED_HOSTS = ["testserver"]
    client = Client()
    managers = Person.objects.filter(role=Role.MANAGER, is_active=True).order_by("pk")
    client.force_login(managers[0])
    found: dict[str, Any] = {}
    for address in PAGES:
        spent = []
        for _ in range(TIMES):
            began = time.process_time()
            answer = client.get(address)
            spent.append(time.process_time() - began)
        if answer.status_code != 200:
            sys.exit(f"{address} answered {answer.status_code}")
        found[f"{address} ms"] = round(MILLI * min(spent))
        found[f"{address} kB"] = len(answer.content) // KILO
    return found


def run_nights(processes: int) -> dict[str, Any]:
    """Run the nights of all shops; return seconds by stage, and the memory of one process."""
    from io import StringIO  # noqa: PLC0415

    from django.core.management import call_command  # noqa: PLC0415

    from scheduling.worker import night  # noqa: PLC0415

    out = StringIO()
    with mock.patch.object(night, "perf_counter", time.process_time):  # others share the computer
        call_command(
            "nightly", json=True, seconds=float(NO_SEARCH), processes=processes, stdout=out
        )
    stages: dict[str, float] = {}
    for report in json.loads(out.getvalue())["shops"]:
        for name, counts in report["stages"].items():
            stages[name] = round(stages.get(name, 0.0) + counts["seconds"], 1)
    most = max(getrusage(who).ru_maxrss for who in (RUSAGE_SELF, RUSAGE_CHILDREN))
    return {**stages, "MB": most // 1024}


def table(rows: Sequence[dict[str, Any]]) -> str:
    """Return the figures as text, a line a figure, a column a number of machines."""
    names = list(rows[0])
    wide = max(map(len, names))
    return "\n".join(
        f"{name:{wide}}" + "".join(f"{row[name]:>12,}" for row in rows) for name in names
    )


def main(arguments: Sequence[str] | None = None) -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--machines", default=MACHINES)
    parser.add_argument("--url", default="", help="of an empty PostgreSQL database")
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--json", help="a file for the figures")
    parser.add_argument("--pages", action="store_true", help=argparse.SUPPRESS)
    parser.add_argument("--night", type=int, help=argparse.SUPPRESS)
    asked = parser.parse_args(arguments)
    if asked.pages or asked.night:
        import django  # noqa: PLC0415

        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")
        django.setup()
        found = open_pages() if asked.pages else run_nights(asked.night)
        sys.stdout.write(json.dumps(found) + "\n")
        return
    sizes = [int(size) for size in asked.machines.split(",")]
    if asked.url and len(sizes) > 1:
        parser.error("--url takes one number of machines: its database has to be empty.")
    rows = []
    for size in sizes:
        with tempfile.TemporaryDirectory() as folder:
            rows.append(measure(Site(folder, asked.url, asked.processes), size))
        sys.stdout.write(table(rows) + "\n\n")
        sys.stdout.flush()
    if asked.json:
        with open(asked.json, "w", encoding="utf-8") as file:
            json.dump(rows, file, indent=1)


if __name__ == "__main__":
    main()
