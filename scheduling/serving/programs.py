"""Web server and worker as programs, and the wait until the site answers."""

import os
import sys
from collections.abc import Mapping
from pathlib import Path
from threading import Event
from time import monotonic
from urllib.error import HTTPError, URLError
from urllib.request import ProxyHandler, build_opener

from scheduling.serving.ports import HOST, address_of
from scheduling.serving.supervisor import LOOK_EVERY, Child, Supervisor

OF_OUR_OWN = ("EMAIL_URL", "ALLOWED_HOSTS", "BASE_URL")
"""Variables that do not reach the demo: no mail leaves this machine, nobody else is served."""
LONGEST_START = 90.0
"""Seconds until the site must answer."""


def demo_environment(port: int) -> dict[str, str]:
    """The environment of the demo's children: the embedded default and its own address."""
    env = {name: value for name, value in os.environ.items() if name not in OF_OUR_OWN}
    return environment(port, env)


def environment(port: int, given: Mapping[str, str]) -> dict[str, str]:
    """What is given, DEBUG off; where nothing else is given, our own address and logs in JSON."""
    fixed = {
        "DEBUG": "0",
        "DJANGO_SETTINGS_MODULE": "fleet.settings",
        "PYTHONUNBUFFERED": "1",
    }
    return {"BASE_URL": address_of(port), "LOG_FORMAT": "json"} | dict(given) | fixed


def children(port: int, logs: Path, host: str = HOST) -> list[Child]:
    """One web process with a few threads, bound to one address; one worker with beat."""
    web = [
        sys.executable,
        "-m",
        "gunicorn",
        "fleet.wsgi:application",
        "--bind",
        f"{host}:{port}",
        "--workers",
        "1",
        "--threads",
        "4",
        "--graceful-timeout",
        "3",
        "--no-control-socket",
        "--log-level",
        "warning",
    ]
    worker = [
        sys.executable,
        "-m",
        "celery",
        "-A",
        "fleet",
        "worker",
        "-B",
        "-c",
        "1",
        "--loglevel",
        "WARNING",
    ]
    return [
        Child("web server", web, logs / "web.log"),
        Child("worker", worker, logs / "worker.log"),
    ]


def answers(port: int) -> bool:
    """Whether the site answers at its sign-in page."""
    try:
        # No proxy of the environment stands between us and this same machine.
        with build_opener(ProxyHandler({})).open(f"{address_of(port)}/sign-in/", timeout=5) as page:
            return bool(page.status == 200)
    except HTTPError:
        return False
    except (URLError, OSError):
        return False


def wait_until_up(port: int, held: Supervisor) -> bool:
    """Wait until the site answers; False if we are to stop, or a child is given up."""
    end, pause = monotonic() + LONGEST_START, Event()
    while monotonic() < end and not held.stopping and held.look():
        if answers(port):
            return True
        pause.wait(LOOK_EVERY)
    return False
