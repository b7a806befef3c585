"""Workers killed with -9 while they send: how many letters are lost, how many come twice.

    python -m tests.benchmarks.kill_letters [--kills N] [--letters N] [--delay 0.005] [--quit 0.0]

A mail server of its own takes `delay` seconds before it answers "250" to a letter, and counts a
letter as taken with that answer; it takes `quit` seconds for its farewell.  Each worker is a
process that does what is owed as the queue's tasks do, and is killed at a moment drawn by chance.
What a dead one held is let go of at once (play of the 35 seconds that its lease would take).  On
the database of DATABASE_URL, or on SQLite in a folder of its own; it must be empty.
"""

import argparse
import asyncio
import inspect
import os
import random
import signal
import sys
import tempfile
import time
from dataclasses import dataclass, field
from email import message_from_bytes
from typing import Any

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP


@dataclass
class SlowServer:
    """Takes each letter after a while; the letter counts with the answer."""

    delay: float
    ids: list[str] = field(default_factory=list)

    async def handle_DATA(self, server, session, envelope):  # noqa: N802  the library's name
        await asyncio.sleep(self.delay)
        self.ids.append(message_from_bytes(envelope.content)["Message-ID"])
        return "250 taken"


class SlowFarewell(SMTP):
    """A server that takes its time for QUIT too."""

    wait = 0.0

    async def smtp_QUIT(self, arg):  # noqa: N802
        await asyncio.sleep(self.wait)
        await super().smtp_QUIT(arg)


class Listening(Controller):
    def factory(self):
        return SlowFarewell(self.handler, **self.SMTP_kwargs)


def work() -> None:
    """Do what is owed for ever, as the queue's tasks do."""
    from django.utils import timezone  # noqa: PLC0415

    from scheduling.outbox.entries import owed  # noqa: PLC0415
    from scheduling.worker.perform import perform_entry  # noqa: PLC0415

    more = [timezone.now] if len(inspect.signature(perform_entry).parameters) > 2 else []
    while True:
        for pk in owed(timezone.now()).values_list("pk", flat=True)[:20]:
            perform_entry(pk, timezone.now(), *more)
        time.sleep(0.01)


def start() -> int:
    """Start a worker; return its process."""
    from django.db import connections  # noqa: PLC0415

    connections.close_all()
    pid = os.fork()
    if pid == 0:
        try:
            work()
        finally:
            os._exit(1)
    return pid


def free_what_the_dead_held() -> None:
    from django.utils import timezone  # noqa: PLC0415

    from scheduling.models import OutboxEntry  # noqa: PLC0415

    OutboxEntry.objects.filter(done_at=None).update(leased_until=None, due_at=timezone.now())


def owe_letters(count: int) -> None:
    from django.utils import timezone  # noqa: PLC0415

    from scheduling.models import Notice  # noqa: PLC0415
    from scheduling.notices.causes import NoticeCause  # noqa: PLC0415
    from scheduling.notices.letter import Letter  # noqa: PLC0415
    from scheduling.notices.posting import NewNotice, put  # noqa: PLC0415
    from tests import factories  # noqa: PLC0415

    person, now = factories.Person(), timezone.now()
    letter = Letter("2 machines held", "2 machines held\n", "<p>2 machines held</p>")
    cause = NoticeCause(Notice.Kind.MORNING, day=now.date())
    for number in range(count):
        put(NewNotice(cause, person, person.shop, letter, round=number), now)


def listen(server: SlowServer, port: int, told: int) -> None:
    """Be the mail server until asked to end; then tell what came."""
    listening = Listening(server, hostname="127.0.0.1", port=port)
    listening.start()
    signal.signal(signal.SIGTERM, lambda *_: None)
    signal.pause()
    os.write(told, "\n".join(server.ids).encode())
    os._exit(0)


def kill_until_sent(kills: int, delay: float) -> int:
    """Start workers one after the other, kill each at some moment; return how many were killed."""
    from scheduling.models import Notice  # noqa: PLC0415

    waiting = Notice.objects.filter(sent_at=None, failed_at=None)
    killed, chance = 0, random.Random(7)
    while waiting.exists():
        pid = start()
        if killed < kills:
            time.sleep(chance.uniform(0.05, 0.05 + 6 * (delay + 0.03)))
            killed += 1
        while killed == kills and waiting.exists():
            time.sleep(0.2)
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)
        free_what_the_dead_held()
    return killed


def set_up(port: int, letters: int) -> Any:
    """Make an empty site with letters to send; return its bell, which is silent from then on."""
    os.environ.setdefault("EVENER_DATA", tempfile.mkdtemp(prefix="kill-letters-"))
    os.environ |= {
        "DJANGO_SETTINGS_MODULE": "fleet.settings", "LOG_LEVEL": "CRITICAL",
        "EMAIL_URL": f"smtp://127.0.0.1:{port}",
    }  # fmt: skip
    import django  # noqa: PLC0415

    django.setup()
    from django.core.management import call_command  # noqa: PLC0415

    from scheduling.outbox import entries  # noqa: PLC0415

    call_command("migrate", verbosity=0)
    bell, entries.ring = entries.ring, lambda *_, **__: None  # the workers look by themselves
    owe_letters(letters)
    return bell


def asked() -> argparse.Namespace:
    said = argparse.ArgumentParser(description=__doc__)
    said.add_argument("--kills", type=int, default=100)
    said.add_argument("--letters", type=int, default=200)
    said.add_argument("--delay", type=float, default=0.005)
    said.add_argument("--quit", type=float, default=0.0)
    said.add_argument("--port", type=int, default=2599)
    return said.parse_args()


def main() -> int:
    want = asked()
    set_up(want.port, want.letters)
    SlowFarewell.wait = want.quit
    counting, told = os.pipe()
    # the server lives in a process of its own, so that the workers are forked without its thread
    listener = os.fork()
    if listener == 0:
        listen(SlowServer(want.delay), want.port, told)
    os.close(told)
    time.sleep(1)
    began = time.monotonic()
    killed = kill_until_sent(want.kills, want.delay)
    os.kill(listener, signal.SIGTERM)
    with os.fdopen(counting, "rb") as read:
        ids = read.read().decode().split("\n")
    os.waitpid(listener, 0)
    lost, twice = want.letters - len(set(ids)), len(ids) - len(set(ids))
    sys.stdout.write(
        f"{want.letters} letters, {killed} kills, server {1000 * want.delay:.0f} ms, farewell"
        f" {1000 * want.quit:.0f} ms: {lost} lost, {twice} twice,"
        f" {time.monotonic() - began:.0f} s\n"
    )
    return 1 if lost else 0


if __name__ == "__main__":
    sys.exit(main())
