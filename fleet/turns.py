"""Bookers take turns, so that whoever was first has the machine and nobody is left waiting.

SQLite lets those who wait for its write lock try again by themselves, now this one and now that
one, and gives up on each after its time is over: of thirty desks that press at once, some get an
error, and at times the one that would have won.  A lock of the operating system is a queue without
an end of patience; one process after another, one thread after another.  PostgreSQL has row locks,
and needs none; what it breaks off (a deadlock, a serialization failure: ISO/IEC 9075 class 40) is
done again.
"""

import fcntl
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import wraps
from typing import ParamSpec, TypeVar

from django.conf import settings
from django.db import OperationalError, connection

from fleet.refusal import Refusal

Given = ParamSpec("Given")
Made = TypeVar("Made")

TRIES = 3
PASSING = ("locked", "deadlock", "could not serialize")
"""Words of errors after which the same act, done again, is as good as new."""


def in_turn(act: Callable[Given, Made]) -> Callable[Given, Made]:
    """Let an act, one whole transaction, wait for its turn; what is broken off is done again."""

    @wraps(act)
    def taken(*args: Given.args, **more: Given.kwargs) -> Made:
        if connection.in_atomic_block:  # whoever opened the transaction has taken the turn
            return act(*args, **more)
        for _ in range(TRIES):
            try:
                with _turn():
                    return act(*args, **more)
            except OperationalError as error:
                if not any(word in str(error) for word in PASSING):
                    raise
        raise Refusal("Too many are saving at this moment, and this was not saved; press again.")

    return taken


@contextmanager
def _turn() -> Iterator[None]:
    if connection.vendor != "sqlite":
        yield
        return
    with (settings.DATA / "bookers.turn").open("w") as queue:
        fcntl.flock(queue, fcntl.LOCK_EX)  # let go as the file is closed
        yield
