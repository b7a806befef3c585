"""Thousands of spoiled requests as one of the people, and on how many of them the site fails.

    python -m tests.benchmarks.bad_requests --requests 10000 --role desk

First each form and address gets the values of EDGES, in all fields that could take them; then forms
are read off the pages that the role may open and sent with a few fields spoiled, addresses with odd
parts, files, bodies, headers and hosts besides (Hypothesis draws all of them).  What a request
stores stays for the next ones of its batch, and what follows from it is worked out as after a
commit; then the batch is undone.  --seconds ends a role sooner, and says how far it came.  Roles:
those of the site, `none` (a person without a role) and `nobody` (signed out).  DATABASE_URL names a
PostgreSQL database, else SQLite is used.
"""

import argparse
import logging
import os
import random
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import quote, urlsplit
from uuid import uuid4

BATCH = 100
"""Requests whose changes stay together."""
NOT_OURS = ("site-packages", "/tests/", "/lib/python")
TOLD_EVERY = 500
"""Requests after which a long run says on standard error how far it is."""
SLOW = 1.0
"""Seconds; what takes longer is told."""
NOT_ASKED = ("sign-out", "sign-out-everywhere", "jsi18n")
FEW = 10
EDGES = ("0001-01-01", "9999-12-31", "inf", "½", "a\x00b", "999999")
"""Sent to every form and address: the first and last day there are, no number, and no text."""
DAYLIKE = ("day", "date", "first", "last", "until", "from", "_on", "_at", "since")
ROLES = ["owner", "manager", "desk", "mechanic", "hand", "none", "nobody"]
KEYS = ("form_key", "act_key")
"""Fields by which a form is known that was sent before; each is to act."""
SHEETS = "/set-up/sheets/"
"""They are most of the addresses, all made alike, so a fifth of the requests goes there."""
OTHER_NAMES = ["q", "day", "page", "next", "\x00", "id", "csv"]


@dataclass(frozen=True)
class Way:
    """An address that is asked, with what is known to be sent to it."""

    address: str
    method: str
    fields: tuple[tuple[str, str], ...] = ()
    files: tuple[str, ...] = ()


@dataclass
class Tally:
    """What came of it: how often each status, each fault with the first request that met it."""

    statuses: Counter = field(default_factory=Counter)
    faults: dict[str, str] = field(default_factory=dict)
    counts: Counter = field(default_factory=Counter)
    slow: dict[str, float] = field(default_factory=dict)
    sent: int = 0


def ways_for(client: Any, every: int = 1) -> list[Way]:
    """Return all that somebody may open and send, read off the pages; of every n-th page alone."""
    from django.urls import reverse  # noqa: PLC0415

    from tests import every_page  # noqa: PLC0415

    ways: dict[Any, Way] = {}
    for number, page in enumerate(every_page.pages()):
        if page.name in NOT_ASKED or number % every:
            continue
        for arguments in page.examples or [{}]:
            try:
                address = reverse(page.called, kwargs=arguments)
            except Exception:  # a page that has nothing to be opened with
                continue
            answer = client.get(address)
            if answer.status_code == 403 and number % FEW:
                continue  # shut to this role; a few stay, to be asked all the same
            _keep(ways, Way(address, "get"))
            _keep(ways, Way(address, "post"))
            if answer.status_code == 200 and answer.get("Content-Type", "").startswith("text/h"):
                _read(ways, answer.text, address)
    return list(ways.values())


def _read(ways: dict[Any, Way], html: str, address: str) -> None:
    """Keep the forms of a page, and its links that ask for something."""
    from tests.benchmarks.found_forms import forms_of  # noqa: PLC0415

    forms, links = forms_of(html, address)
    for form in forms:
        if not urlsplit(form.action).path.startswith(("/sign-out", "/password/sign-out")):
            _keep(ways, Way(form.action, form.method, tuple(form.fields), tuple(form.files)))
    for path, names in links:
        if names:
            _keep(ways, Way(path, "get", tuple((name, "") for name in names)))


def _keep(ways: dict[Any, Way], way: Way) -> None:
    names = tuple(sorted({name for name, _ in way.fields}))
    ways.setdefault((urlsplit(way.address).path, way.method, names), way)


@dataclass(frozen=True)
class BadRequest:
    """One request as it is sent."""

    method: str
    address: str
    fields: dict[str, Any]
    headers: dict[str, str]
    raw: tuple[str, bytes] | None = None

    def __str__(self) -> str:
        sent = {name: repr(value)[:60] for name, value in self.fields.items() if value}
        return f"{self.method} {self.address[:200]} {sent} {self.headers} {self.raw or ''}"


def requests_over(ways: list[Way], pools: Any, chance: random.Random) -> Iterator[BadRequest]:
    """Yield spoiled requests over these ways without end, of what the pools hold."""
    sheets = [way for way in ways if way.address.startswith(SHEETS)]
    pages = [way for way in ways if not way.address.startswith(SHEETS)]
    while True:
        way = chance.choice(sheets if sheets and chance.randrange(5) == 0 else pages or sheets)
        address = _address(way.address, pools, chance)
        headers = chance.choice(pools.headers)
        if way.method == "post" and chance.randrange(12) == 0:
            yield BadRequest("post", address, {}, headers, chance.choice(pools.raw_bodies))
        else:
            yield BadRequest(way.method, address, _spoiled(way, pools, chance), headers)


def _address(address: str, pools: Any, chance: random.Random) -> str:
    """Spoil a part of some addresses."""
    path, _, query = address.partition("?")
    parts = path.split("/")
    if chance.randrange(6) == 0 and len(parts) > 2:
        at = chance.randrange(1, len(parts))
        parts[at] = quote(chance.choice(pools.texts), safe="")[:3000]
    return "/".join(parts) + (f"?{query}" if query else "")


def _spoiled(way: Way, pools: Any, chance: random.Random) -> dict[str, Any]:
    """Fill a form as it stands, or with another of its choices; then spoil up to three fields."""
    offered: dict[str, list[str]] = {}
    for name, value in way.fields:
        offered.setdefault(name, []).append(value)
    fields: dict[str, Any] = {name: chance.choice(values) for name, values in offered.items()}
    fields |= {name: uuid4().hex for name in fields if name in KEYS}
    names = sorted(fields) or ["q"]
    for name in chance.choices(names, k=chance.randrange(4)):
        counted = name.endswith(("TOTAL_FORMS", "INITIAL_FORMS"))
        fields[name] = chance.choice(pools.counts if counted else pools.texts)
    for name in way.files:
        if chance.randrange(2):
            fields[name] = pools.file(chance)
    if chance.randrange(8) == 0:
        fields[chance.choice(OTHER_NAMES)] = chance.choice(pools.texts)
    return fields


def edge_requests(ways: list[Way]) -> Iterator[BadRequest]:
    """Yield each way with each edge in all fields that could take it, and once in its address."""
    for way in ways:
        stands = dict(way.fields)
        for edge in EDGES:
            fields = {name: edge if _takes(name, edge) else old for name, old in stands.items()}
            fields |= {name: uuid4().hex for name in fields if name in KEYS}
            fields = fields or {"day": edge, "page": edge, "q": edge}
            yield BadRequest(way.method, way.address, fields, {})
        parts = way.address.partition("?")[0].rstrip("/").split("/")
        for edge in (*EDGES[:2], "..", "a\x00b"):
            yield BadRequest(
                way.method, "/".join([*parts[:-1], quote(edge, safe="")]) + "/", {}, {}
            )


def _takes(name: str, edge: str) -> bool:
    """Whether a field could take an edge: days go into days alone, so that the rest is fine."""
    if name == "csrfmiddlewaretoken" or name in KEYS:
        return False
    if edge == "999999":
        return name.endswith(("TOTAL_FORMS", "INITIAL_FORMS"))
    if name.endswith("_FORMS"):
        return False
    return edge[:4] not in ("0001", "9999") or any(word in name for word in DAYLIKE)


def send(client: Any, asked: BadRequest) -> Any:
    """Send one; what the page raises comes back with the answer."""
    if asked.raw is not None:
        kind, body = asked.raw
        return client.generic("POST", asked.address, body, content_type=kind, headers=asked.headers)
    if asked.method == "get":
        return client.get(asked.address, query_params=asked.fields, headers=asked.headers)
    return client.post(asked.address, asked.fields, headers=asked.headers)


def run(role: str, count: int, seed: int, seconds: float = 1e9, every: int = 1) -> Tally:
    """Send so many requests as one of the people; nothing of it stays in the database."""
    from django.db import connection, transaction  # noqa: PLC0415
    from django.test import Client  # noqa: PLC0415
    from django.utils import timezone  # noqa: PLC0415

    from tests.benchmarks import bad_values  # noqa: PLC0415
    from tests.made_fleet import make_fleet  # noqa: PLC0415

    tally = Tally()
    with transaction.atomic():
        made = make_fleet(timezone.now())
        _set_clocks_apart(made)
        client = signed_in(Client, role, made)
        kept = client.cookies.copy()
        ways = ways_for(client, every)
        place = [transaction.savepoint()]
        began = time.monotonic()

        def ask(asked: BadRequest) -> None:
            if tally.sent >= count or time.monotonic() - began > seconds:
                return
            client.cookies = kept.copy()
            _try(client, asked, tally)
            tally.sent += 1
            if tally.sent % BATCH == 0:
                transaction.savepoint_rollback(place[0])
                place[0] = transaction.savepoint()
            if tally.sent % TOLD_EVERY == 0:
                _say_how_far(role, tally)

        edges = list(edge_requests(ways))
        random.Random(seed).shuffle(edges)
        for asked in edges[: count // 2]:
            ask(asked)

        drawn = requests_over(
            ways, bad_values.Pools.drawn(seed, min(1, count / 3000)), random.Random(seed)
        )
        while tally.sent < count and time.monotonic() - began <= seconds:
            ask(next(drawn))
        connection.run_on_commit = []
        transaction.set_rollback(True)
    return tally


def _set_clocks_apart(made: Any) -> None:
    """Let the shop be behind Greenwich, its yard ahead: each fails at one end of the calendar."""
    from fleet.models import Shop, Yard  # noqa: PLC0415

    Shop.objects.filter(pk=made.shop.pk).update(time_zone="America/Los_Angeles")
    Yard.objects.filter(shop=made.shop).update(time_zone="Pacific/Auckland")


def signed_in(client_class: Any, role: str, made: Any) -> Any:
    """Return a browser of one of the people."""
    from tests import factories  # noqa: PLC0415

    client = client_class(raise_request_exception=False, SERVER_NAME="127.0.0.1")
    if role == "none":
        client.force_login(factories.Person(role="", shop=made.shop))
    elif role != "nobody":
        client.force_login(made.people[role])
    return client


def _try(client: Any, asked: BadRequest, tally: Tally) -> None:
    from django.db import transaction  # noqa: PLC0415

    began = time.monotonic()
    inner = transaction.savepoint()
    try:
        answer = send(client, asked)
        status = answer.status_code
        fault = answer.exc_info[1] if status >= 500 and getattr(answer, "exc_info", None) else None
        if status == 503 and asked.address.startswith("/healthz"):
            status = 200  # no worker runs here, and it says so
        _after_commit()
    except Exception as error:  # what the site did not even answer
        status, fault = 599, error
    took = time.monotonic() - began
    tally.statuses[status] += 1
    if took > SLOW:
        tally.slow[str(asked)] = took
    if status >= 500:
        transaction.set_rollback(False)
        transaction.savepoint_rollback(inner)
        where = _where(fault) if fault else f"status {status}"
        tally.counts[where] += 1
        tally.faults.setdefault(where, str(asked))
    else:
        transaction.savepoint_commit(inner)


def _after_commit() -> None:
    """Do what waits for the commit, as it would be done."""
    from django.db import connection  # noqa: PLC0415

    while connection.run_on_commit:
        _, work, _robust = connection.run_on_commit.pop(0)
        work()


def _where(fault: BaseException) -> str:
    """Return a fault with the last line of ours that it went through."""
    frames = traceback.extract_tb(fault.__traceback__)
    ours = [one for one in frames if not any(part in one.filename for part in NOT_OURS)]
    last = ours[-1] if ours else frames[-1]
    place = f"{last.filename.rpartition('/')[2]}:{last.lineno}"
    return f"{type(fault).__name__} [{place}] {str(fault)[:160]}"


def set_up() -> None:
    """Make an empty site."""
    os.environ.setdefault("EVENER_DATA", tempfile.mkdtemp(prefix="bad-requests-"))
    os.environ |= {"DJANGO_SETTINGS_MODULE": "fleet.settings", "LOG_LEVEL": "CRITICAL"}
    import django  # noqa: PLC0415

    django.setup()
    logging.disable(logging.CRITICAL)
    from django.conf import settings  # noqa: PLC0415
    from django.core.management import call_command  # noqa: PLC0415

    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    call_command("migrate", verbosity=0)


def _say_how_far(role: str, tally: Tally) -> None:
    busy, failed = time.process_time(), tally.counts.total()
    sys.stderr.write(f"{role}: {tally.sent} sent, {failed} failed, {busy:.0f} s of processor\n")


def report(role: str, tally: Tally, seconds: float) -> str:
    """Say what came of it."""
    bad = sum(tally.counts.values())
    by_status = ", ".join(f"{status}: {n}" for status, n in sorted(tally.statuses.items()))
    lines = [f"{role}: {tally.sent} requests, {bad} failed, {seconds:.0f} s; {by_status}"]
    for where, times in tally.counts.most_common():
        lines += [f"  {times} x {where}", f"      {tally.faults[where][:4000]}"]
    slowest = sorted(tally.slow.items(), key=lambda one: -one[1])[:5]
    lines += [f"  {took:.1f} s: {asked[:300]}" for asked, took in slowest]
    return "\n".join(lines) + "\n"


def main() -> int:
    """Run it for the roles asked for; the status is 1 where anything failed."""
    said = argparse.ArgumentParser(description=__doc__)
    said.add_argument("--requests", type=int, default=10_000)
    said.add_argument("--role", action="append", default=[])
    said.add_argument("--seconds", type=float, default=1e9)
    said.add_argument("--seed", type=int, default=1)
    want = said.parse_args()
    set_up()
    failed = 0
    for role in want.role or ROLES:
        began = time.monotonic()
        tally = run(role, want.requests, want.seed, want.seconds)
        failed += sum(tally.counts.values())
        sys.stdout.write(report(role, tally, time.monotonic() - began))
        sys.stdout.flush()
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
