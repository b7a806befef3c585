"""What one transaction tells of changed facts, gathered into one entry that is done once.

An act is made of several actions, and each tells which machines it touched.  The first of a
transaction owes an outbox entry in it, the others add to that row; after the commit it is done
once.  The row is what counts: what a crash leaves undone, the sweep does from it.

Why nothing is lost or kept wrongly where a savepoint is rolled back: each change of the row comes
with a callback on the commit, and Django drops a savepoint's callbacks when it rolls the savepoint
back, as the database drops its rows.  A savepoint that still stands open when a callback is
registered holds every later one too; so callbacks go in the reverse order of their coming, and the
last that is left says what the row says.  No query is needed to know what was told before.
"""

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import datetime
from uuid import uuid4

from django.db import connection, transaction

from scheduling.models import OutboxEntry

Do = Callable[[int, int], None]
"""Does an entry after the commit: its key, and how many machines it names at most."""


_steady: ContextVar[frozenset[int]] = ContextVar(
    "machines that are worked out", default=frozenset()
)


@dataclass
class _Entry:
    """The entry of one transaction, shared by its callbacks: the first to run does it."""

    pk: int
    do: Do
    most: int = 0
    ran: bool = False


@dataclass(frozen=True)
class _Told:
    """The state of the entry's row at one time in the transaction, as a callback on its commit."""

    entry: _Entry
    machines: frozenset[int]
    worked_out: frozenset[int]

    def __call__(self) -> None:
        if not self.entry.ran:
            self.entry.ran = True
            self.entry.do(self.entry.pk, self.entry.most)


def gather(machine_ids: Iterable[int], now: datetime, do: Do) -> None:
    """Owe a refresh of these machines, once for each transaction; do it after the commit.

    A machine that was worked out in this transaction, and is told once more, is owed again.
    """
    asked = frozenset(machine_ids)
    steady = asked & _steady.get()
    told = _told()
    if told is None:
        _keep(_Told(_owed(asked, steady, now, do), asked, steady))
        return
    machines = told.machines | asked
    done = (told.worked_out - (asked - steady)) | (steady - told.machines)
    if (machines, done) != (told.machines, told.worked_out):
        _write(_Told(told.entry, machines, done))


@contextmanager
def worked_out(machine_ids: Iterable[int]) -> Iterator[None]:
    """Say that what follows for these machines has been written in this transaction.

    What was told of them before needs no more than to be warned of after the commit, and so does
    what is told inside: only for facts that move no due point.
    """
    ids = frozenset(machine_ids)
    told = _told()
    if told is not None and not told.machines & ids <= told.worked_out:
        _write(_Told(told.entry, told.machines, told.worked_out | told.machines & ids))
    before = _steady.set(ids)
    try:
        yield
    finally:
        _steady.reset(before)


def _told() -> _Told | None:
    """Return what this transaction has told and not rolled back; None for nothing."""
    for registered in reversed(connection.run_on_commit):
        callback = registered[1]
        if isinstance(callback, _Told) and not callback.entry.ran:
            return callback
    return None


def _owed(machines: frozenset[int], done: frozenset[int], now: datetime, do: Do) -> _Entry:
    row = OutboxEntry.objects.create(
        key=f"refresh:{uuid4().hex}",
        kind=OutboxEntry.Kind.REFRESH,
        payload=_payload(machines, done),
        due_at=now,
        made_at=now,
    )
    return _Entry(row.pk, do)


def _write(told: _Told) -> None:
    payload = _payload(told.machines, told.worked_out)
    OutboxEntry.objects.filter(pk=told.entry.pk).update(payload=payload)
    _keep(told)


def _keep(told: _Told) -> None:
    told.entry.most = max(told.entry.most, len(told.machines))
    transaction.on_commit(told)


def _payload(machines: frozenset[int], worked_out: frozenset[int]) -> dict[str, list[int]]:
    payload = {"machines": sorted(machines)}
    return payload | {"worked_out": sorted(worked_out)} if worked_out else payload
