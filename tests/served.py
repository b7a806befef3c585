"""A command that serves the site, started as a person starts it, in a folder of its own."""

import os
import socket
import subprocess
import sys
import time
from pathlib import Path
from urllib.error import HTTPError
from urllib.request import ProxyHandler, build_opener

import pytest

ROOT = Path(__file__).resolve().parents[1]
LONGEST = 150
"""Seconds that a busy machine may take; alone it takes about fifteen."""
OF_OURS = ("DATABASE_URL", "REDIS_URL", "EMAIL_URL", "BASE_URL", "ALLOWED_HOSTS")


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def environment(folder, **more):
    env = {k: v for k, v in os.environ.items() if k not in OF_OURS}
    return env | {"EVENER_DATA": str(folder), "DEBUG": "1", "PYTHONUNBUFFERED": "1"} | more


def start(command, folder, port):
    with (folder / "said.txt").open("a") as said:
        return subprocess.Popen(
            [sys.executable, "manage.py", command, "--port", str(port)],
            cwd=ROOT,
            env=environment(folder),
            stdout=said,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )


def run(folder, *words):
    """Run Python in a folder to its end; return its status and what it said."""
    return subprocess.run(
        [sys.executable, *words], cwd=ROOT, env=environment(folder),
        capture_output=True, text=True, timeout=LONGEST, check=False,
    )  # fmt: skip


def manage(command, folder):
    """Run a command of ours to its end."""
    return run(folder, "manage.py", command)


def get(port, path):
    try:
        with build_opener(ProxyHandler({})).open(f"http://127.0.0.1:{port}{path}", timeout=20) as p:
            return p.status, p.read().decode()
    except HTTPError as refused:
        return refused.code, refused.read().decode()


def wait_until_ready(site, folder):
    end = time.monotonic() + LONGEST
    while time.monotonic() < end and site.poll() is None:
        if "Ctrl-C stops" in (folder / "said.txt").read_text():
            return
        time.sleep(0.2)
    pytest.fail((folder / "said.txt").read_text()[-3000:])


def processes_of(folder):
    """Command lines of processes that carry this folder in their environment (Linux)."""
    found = {}
    for entry in Path("/proc").iterdir():
        try:
            if entry.name.isdigit() and str(folder).encode() in (entry / "environ").read_bytes():
                found[int(entry.name)] = (entry / "cmdline").read_text().replace("\0", " ")
        except OSError:
            continue
    return found
