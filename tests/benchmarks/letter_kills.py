"""What both trials of kills share: letters to come, a mail server that tells when it said "250",
and the proof of when a letter that came twice was interrupted.

All moments are of the machine's one monotonic clock, which its processes share.  Three write them
down, a line each: the mail server when it was given a letter, and its "250" to it; the process that
sends, when it has read that answer and when its mark is committed; the killer before it kills and
after: the death lies between, on a busy machine some hundred milliseconds apart.  A letter may come
twice only where the death fell after the "250" and before the commit: then nobody can know that it
was taken (RFC 5321, 4.5.4.1 and 6.1 let a sender only send again).  A server that was given a
letter whole, and says its "250" though the sender was just killed, makes the same of it.
"""

import argparse
import asyncio
import os
import random
import signal
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import timedelta
from email import message_from_bytes
from itertools import pairwise
from pathlib import Path
from statistics import median
from typing import Any

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP

TRACE = "EVENER_KILL_TRACE"
"""Names the file of moments to the processes that send."""
GIVEN, TAKEN, READ, COMMITTED = "data", "250", "read", "committed"
KILLED, DEAD = "killed", "dead"
AIMED = 0.02
"""Seconds after a "250" within which an aimed kill falls."""
TOGETHER = 10
"""Machines whose facts change in one transaction: too many for the request, so a worker does it."""


def write_moment(path: str, what: str, mark: str = "-") -> None:
    """Add a moment to the file; a line is whole or not there."""
    line = f"{what} {mark} {time.monotonic():.6f}\n"
    handle = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
    os.write(handle, line.encode())
    os.close(handle)


def trace_marks(path: str) -> None:
    """Let this process write down when it read the server's answer, and when it has committed."""
    from scheduling.notices import send  # noqa: PLC0415

    real = send._mark

    def traced(entry: Any, notice: Any, now: Any) -> bool:
        write_moment(path, READ, notice.mark.hex)
        settled = real(entry, notice, now)
        write_moment(path, COMMITTED, notice.mark.hex)
        return settled

    send._mark = traced


@dataclass
class SlowServer:
    """Takes each letter after a while, and tells the moment of its answer."""

    delay: float
    path: str

    async def handle_DATA(self, server, session, envelope):  # noqa: N802  the library's name
        named = message_from_bytes(envelope.content)["Message-ID"]
        mark = named.strip("<>").partition("@")[0]
        write_moment(self.path, GIVEN, mark)
        await asyncio.sleep(self.delay)
        write_moment(self.path, TAKEN, mark)
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


@contextmanager
def mail_server(want: argparse.Namespace, path: str) -> Iterator[None]:
    """Be served by a mail server in a process of its own, so that workers fork without its
    thread."""
    SlowFarewell.wait = want.quit
    listener = os.fork()
    if listener == 0:
        Listening(SlowServer(want.delay, path), hostname="127.0.0.1", port=want.port).start()
        signal.signal(signal.SIGTERM, lambda *_: None)
        signal.pause()
        os._exit(0)
    time.sleep(1)
    try:
        yield
    finally:
        os.kill(listener, signal.SIGTERM)
        os.waitpid(listener, 0)


def asked(about: str | None, **more: Any) -> argparse.Namespace:
    """Return what is asked for on the command line."""
    said = argparse.ArgumentParser(description=about)
    said.add_argument("--kills", type=int, default=100)
    said.add_argument("--machines", type=int, default=200)
    said.add_argument("--delay", type=float, default=0.005)
    said.add_argument("--quit", type=float, default=0.0)
    said.add_argument("--port", type=int, default=2599)
    for name, value in more.items():
        said.add_argument(f"--{name}", default=value)
    return said.parse_args()


def set_up(want: argparse.Namespace) -> tuple[Any, str]:
    """Make an empty site whose machines fall due while booked; its bell is silent from then on.

    Return the bell, and the file of moments.
    """
    os.environ.setdefault("EVENER_DATA", tempfile.mkdtemp(prefix="letter-kills-"))
    path = str(Path(tempfile.mkdtemp(prefix="moments-")) / "moments")
    os.environ |= {
        "DJANGO_SETTINGS_MODULE": "fleet.settings", "LOG_LEVEL": "CRITICAL",
        "EMAIL_URL": f"smtp://127.0.0.1:{want.port}", TRACE: path,
    }  # fmt: skip
    import django  # noqa: PLC0415

    django.setup()
    from django.core.management import call_command  # noqa: PLC0415

    from scheduling.outbox import entries  # noqa: PLC0415
    from scheduling.worker import receivers  # noqa: PLC0415

    call_command("migrate", verbosity=0)
    bell = entries.ring
    entries.ring = receivers.ring = lambda *_, **__: None
    let_fall_due(want.machines)
    return bell, path


def let_fall_due(machines: int) -> None:
    """Let machines that go out tomorrow fall due in three days; who works that out is a worker."""
    from django.db import transaction  # noqa: PLC0415
    from django.utils import timezone  # noqa: PLC0415

    from fleet import changed_facts  # noqa: PLC0415
    from fleet.models import Role  # noqa: PLC0415
    from scheduling.models import OutboxEntry  # noqa: PLC0415
    from tests import factories  # noqa: PLC0415

    now, day = timezone.now(), timedelta(days=1)
    desk = factories.Person(role=Role.DESK)
    kind = factories.MakeUp()
    oil = factories.Interval(makeup=kind, every=None, meter_kind="", every_days=44).service
    yard, made = factories.Yard(shop=desk.shop), []
    for _ in range(machines):
        machine = factories.Machine(makeup=kind, yard=yard)
        factories.ServiceRecord(machine=machine, service=oil, done_at=now - 41 * day)
        factories.Booking(
            machine=machine, first_day=now.date() + day, last_day=now.date() + 6 * day, made_at=now
        )
        made.append(machine.pk)
    OutboxEntry.objects.all().delete()  # a new shop's plan is not what is tried
    for begin in range(0, machines, TOGETHER):
        with transaction.atomic():
            changed_facts.tell(made[begin : begin + TOGETHER])


def moment_to_kill(
    number: int,
    path: str,
    chance: random.Random,
    longest: float,
    meanwhile: Callable[[], object] = bool,
) -> None:
    """Wait for the moment of a kill: by chance, or, each second time, soon after a "250".

    On a busy machine chance alone seldom meets the few milliseconds in which a letter can double.
    meanwhile: done again and again while a "250" is waited for.
    """
    if number % 2 == 0:
        time.sleep(chance.uniform(0, longest))
        return
    before = _answers(path)
    while _answers(path) == before and owed_letters().exists():
        meanwhile()
        time.sleep(0.0005)
    time.sleep(chance.uniform(0, AIMED))


def _answers(path: str) -> int:
    file = Path(path)
    return file.read_text().count(f"{TAKEN} ") if file.exists() else 0


def owed_letters() -> Any:
    """Return what is not settled yet: changed facts, and the letters that follow from them."""
    from scheduling.models import OutboxEntry  # noqa: PLC0415

    kinds = [OutboxEntry.Kind.REFRESH, OutboxEntry.Kind.SEND]
    return OutboxEntry.objects.filter(kind__in=kinds, done_at=None, failed_at=None)


def settled() -> int:
    """Return how many entries are done, by which one sees that the work goes on."""
    from scheduling.models import OutboxEntry  # noqa: PLC0415

    return OutboxEntry.objects.exclude(done_at=None, failed_at=None).count()


def free_what_the_dead_held() -> None:
    from django.utils import timezone  # noqa: PLC0415

    from scheduling.models import OutboxEntry  # noqa: PLC0415

    held = OutboxEntry.objects.filter(done_at=None)
    held.update(leased_until=None, due_at=timezone.now())


@dataclass
class Found:
    """What came of the kills; seconds from a "250" to the kill, or to the commit.

    to_the_dead: seconds by which the kill came before a "250" that the server said all the same.
    """

    lost: int = 0
    letters: int = 0
    machines_untold: int = 0
    told_twice: int = 0
    twice: int = 0
    in_window: list[float] = field(default_factory=list)
    to_the_dead: list[float] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    windows: list[float] = field(default_factory=list)
    kills_in_window: int = 0

    @property
    def failed(self) -> bool:
        return bool(self.lost or self.machines_untold or self.told_twice or self.faults)


def moments_of(path: str) -> dict[str, dict[str, list[float]]]:
    """Read the file: what -> letter -> moments in order."""
    read: dict[str, dict[str, list[float]]] = defaultdict(lambda: defaultdict(list))
    for line in Path(path).read_text().splitlines():
        what, mark, at = line.split()
        read[what][mark].append(float(at))
    return read


def judged(moments: dict[str, dict[str, list[float]]], marks: set[str]) -> Found:
    """Hold what the server took against the letters there were, kill by kill."""
    found = Found(letters=len(marks))
    kills = list(zip(moments[KILLED]["-"], moments[DEAD]["-"], strict=True))
    found.lost = len(marks - set(moments[TAKEN]))
    for mark, taken in moments[TAKEN].items():
        found.twice += len(taken) - 1
        for at, again in pairwise([*taken, float("inf")]):
            end = next((one for one in moments[COMMITTED][mark] if at < one < again), None)
            given = max((one for one in moments[GIVEN][mark] if one <= at), default=at)
            last = min(again, end or again)
            kill = next((one for one in kills if one[0] < last and one[1] >= given), None)
            if end is not None:
                found.windows.append(end - at)
            found.kills_in_window += kill is not None
            if again < float("inf"):
                _judge_double(found, mark, (at, again), end, kill)
    return found


def _judge_double(
    found: Found,
    mark: str,
    span: tuple[float, float],
    end: float | None,
    kill: tuple[float, float] | None,
) -> None:
    """Say of one letter that came again whether the kill fell where alone it may."""
    at, again = span
    if end is not None:
        found.faults.append(f"{mark}: sent again {again - end:.3f} s after its mark was committed")
    elif kill is None:
        found.faults.append(f"{mark}: sent again after {again - at:.3f} s with no kill between")
    elif kill[1] < at:
        found.to_the_dead.append(at - kill[1])
    else:
        found.in_window.append(max(kill[0] - at, 0))


def closing(want: argparse.Namespace, path: str, way: str, killed: int, seconds: float) -> int:
    """Print what came of it; 1 where a letter was lost, or came twice for another reason."""
    from collections import Counter  # noqa: PLC0415

    from django.db import connection  # noqa: PLC0415

    from fleet.models import Machine  # noqa: PLC0415
    from scheduling.models import Notice  # noqa: PLC0415

    notices = Notice.objects.all()
    found = judged(moments_of(path), {one.hex for one in notices.values_list("mark", flat=True)})
    told = Counter(notices.values_list("machine_id", flat=True))
    found.machines_untold = Machine.objects.count() - len(told)
    found.told_twice = sum(n - 1 for n in told.values())
    sys.stdout.write(
        f"{way}, {connection.vendor}: {want.machines} machines falling due,"
        f" {found.letters} letters, {killed} kills, server {1000 * want.delay:.0f} ms,"
        f" farewell {1000 * want.quit:.0f} ms, {seconds:.0f} s\n"
        f"  {found.lost} lost, {found.machines_untold} machines not told,"
        f" {found.told_twice} told twice; {found.twice} came twice\n"
        f"  of these {len(found.in_window)} with the kill between the 250 and the commit"
        f" ({_ms(found.in_window)}), {len(found.to_the_dead)} with a 250 said to a process killed"
        f" before it ({_ms(found.to_the_dead)}), {len(found.faults)} otherwise\n"
        f"  letters on whose way from there to the commit a kill fell: {found.kills_in_window};"
        f" from 250 to commit undisturbed: {_ms(found.windows)}\n"
    )
    sys.stdout.writelines(f"  FAULT {one}\n" for one in found.faults)
    return int(found.failed)


def _ms(seconds: list[float]) -> str:
    if not seconds:
        return "none"
    each = sorted(1000 * one for one in seconds)
    return f"median {median(each):.1f} ms, most {each[-1]:.1f} ms"
