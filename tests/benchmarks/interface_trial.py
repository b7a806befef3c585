"""The interface tried by its own description: what it says of itself is what it does.

    python -m tests.benchmarks.interface_trial [--cases 200]

Schemathesis reads `/api/v1/openapi.json` and draws so many requests for each operation twice: such
as the description allows, and such as it does not.  A request must not fail the site, and its
answer must have a status, a kind and a shape that the description names.  What a request stores
stays for the next ones of its operation, and nothing of it stays in the database.  DATABASE_URL
names a PostgreSQL database, else SQLite is used.
"""

import argparse
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial
from typing import Any

from tests.benchmarks.bad_requests import set_up

SCHEMA = "/api/v1/openapi.json"
FIRST_LINES = 12
"""Lines told of a failure."""


@dataclass
class Tried:
    """What came of it: statuses by operation, and each failure with its first request."""

    statuses: dict[str, Counter] = field(default_factory=dict)
    failures: dict[str, str] = field(default_factory=dict)
    sent: int = 0


@dataclass(frozen=True)
class _Trial:
    """The key that is sent, names of what there is, and what came of it."""

    key: str
    known: dict[str, Any]
    tried: Tried


def try_all(cases: int, seed: int = 1, *, each_one_way: bool = False) -> Tried:
    """Send so many requests of either kind to each operation, inside one transaction.

    each_one_way: by turns such as the description does not allow, and such as it does.
    """
    import schemathesis  # noqa: PLC0415
    from django.core.wsgi import get_wsgi_application  # noqa: PLC0415
    from django.db import transaction  # noqa: PLC0415
    from django.utils import timezone  # noqa: PLC0415

    from fleet.actions.make_keys import NewKey, make_key  # noqa: PLC0415
    from fleet.models import KeyScope  # noqa: PLC0415
    from tests.made_fleet import make_fleet  # noqa: PLC0415

    tried = Tried()
    with transaction.atomic(), connection_kept():
        made = make_fleet(timezone.now())
        new = NewKey("trial", tuple(KeyScope), made.shop, made.people["manager"])
        _, word = make_key(new, by=made.people["manager"], now=timezone.now())
        trial = _Trial(f"Bearer {word}", _known(made), tried)
        schema = schemathesis.openapi.from_wsgi(SCHEMA, get_wsgi_application())
        for number, found in enumerate(schema.get_all_operations()):
            operation = found.ok()
            modes = [schemathesis.GenerationMode.NEGATIVE, schemathesis.GenerationMode.POSITIVE]
            for mode in modes[number % 2 :][:1] if each_one_way else modes:
                place = transaction.savepoint()
                drawn = operation.as_strategy(generation_mode=mode)
                _try(drawn, cases, seed * 1000 + number, partial(_send, trial))
                transaction.savepoint_rollback(place)
        transaction.set_rollback(True)
    return tried


@contextmanager
def connection_kept() -> Iterator[None]:
    """Let no request close the connection, which holds what is to be undone."""
    from django.core import signals  # noqa: PLC0415
    from django.db import close_old_connections  # noqa: PLC0415

    ends = (signals.request_started, signals.request_finished)
    closing = [one for one in ends if one.disconnect(close_old_connections)]
    try:
        yield
    finally:
        for one in closing:
            one.connect(close_old_connections)


def _try(drawn: Any, cases: int, seed: int, send: Callable[[Any], None]) -> None:
    """Send what is drawn for one operation in one way."""
    import hypothesis  # noqa: PLC0415
    from hypothesis.errors import Unsatisfiable  # noqa: PLC0415

    @hypothesis.seed(seed)
    @hypothesis.settings(
        max_examples=cases, database=None, deadline=None, phases=[hypothesis.Phase.generate],
        suppress_health_check=list(hypothesis.HealthCheck),
    )  # fmt: skip
    @hypothesis.given(drawn)
    def each(case: Any) -> None:
        send(case)

    try:
        each()
    except Unsatisfiable:  # nothing can be asked that the description does not allow
        return


def _known(made: Any) -> dict[str, Any]:
    """Return what there is, by the names under which it is asked for."""
    from fleet.models import Booking  # noqa: PLC0415

    machine = made.machine
    return {
        "machine": machine.tag, "class": machine.makeup.machine_class.name,
        "yard": machine.yard.name, "number": Booking.objects.latest("pk").pk,
    }  # fmt: skip


def _ask_for_what_is_there(case: Any, known: dict[str, Any]) -> None:
    """Put names of the site into a case; names that are drawn are of nothing."""
    for part in (case.path_parameters, case.query, case.body):
        if isinstance(part, dict):
            part |= {name: value for name, value in known.items() if part.get(name)}


def _send(trial: "_Trial", case: Any) -> None:
    from django.db import connection, transaction  # noqa: PLC0415
    from schemathesis import checks  # noqa: PLC0415
    from schemathesis.core.failures import FailureGroup  # noqa: PLC0415
    from schemathesis.specs.openapi import checks as of_openapi  # noqa: PLC0415

    held = [
        checks.not_a_server_error, of_openapi.status_code_conformance,
        of_openapi.content_type_conformance, of_openapi.response_schema_conformance,
    ]  # fmt: skip
    tried = trial.tried
    if tried.sent % 2:
        _ask_for_what_is_there(case, trial.known)
    inner = transaction.savepoint()
    answer = case.call(headers={"Authorization": trial.key})
    connection.run_on_commit = []
    named = f"{case.operation.method.upper()} {case.operation.path}"
    tried.sent += 1
    tried.statuses.setdefault(named, Counter())[answer.status_code] += 1
    if answer.status_code >= 500:
        transaction.set_rollback(False)
        transaction.savepoint_rollback(inner)
    try:
        case.validate_response(answer, checks=held)
    except FailureGroup as group:
        for one in group.exceptions:
            said = "\n".join(str(one).splitlines()[:FIRST_LINES])
            tried.failures.setdefault(f"{named}: {type(one).__name__}", f"{said}\n{case!r}"[:3000])


def main() -> int:
    """Try it and tell; the status is 1 where it did otherwise than it says."""
    said = argparse.ArgumentParser(description=__doc__)
    said.add_argument("--cases", type=int, default=200)
    said.add_argument("--seed", type=int, default=1)
    want = said.parse_args()
    set_up()
    began = time.monotonic()
    tried = try_all(want.cases, want.seed)
    for named, statuses in tried.statuses.items():
        counted = ", ".join(f"{status}: {times}" for status, times in sorted(statuses.items()))
        sys.stdout.write(f"{named}: {counted}\n")
    for named, case in tried.failures.items():
        sys.stdout.write(f"{named}\n{case}\n")
    sys.stdout.write(
        f"{tried.sent} requests, {len(tried.failures)} faults, {time.monotonic() - began:.0f} s\n"
    )
    return 1 if tried.failures else 0


if __name__ == "__main__":
    sys.exit(main())
