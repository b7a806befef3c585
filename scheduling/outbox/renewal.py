"""The lease of an entry, renewed beside the work for as long as the work lives.

A thread of the worker's own process renews it, so that it ends with the process, however that ends.
"""

import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from threading import Event, Thread

from django.db import DatabaseError, connection

from scheduling.models import OutboxEntry
from scheduling.outbox.entries import LONGEST_WORK, renew

logger = logging.getLogger(__name__)

RENEWED_EVERY = 8.0
"""Seconds: two renewals may fail before the lease is over."""
TRIED_AGAIN = 1.0
"""Seconds after a renewal that the database did not take."""


@contextmanager
def renewed(entry: OutboxEntry, clock: Callable[[], datetime]) -> Iterator[None]:
    """Renew an entry's lease until the block ends; nothing is asked before the first renewal."""
    over = Event()
    until = clock() + LONGEST_WORK[OutboxEntry.Kind(entry.kind)]
    thread = Thread(target=_renew, args=(entry, clock, until, over), daemon=True)
    thread.start()
    try:
        yield
    finally:
        over.set()


def _renew(entry: OutboxEntry, clock: Callable[[], datetime], until: datetime, over: Event) -> None:
    pause = RENEWED_EVERY
    try:
        while not over.wait(pause) and clock() < until:
            try:
                if not renew(entry, clock()):
                    return
                pause = RENEWED_EVERY
            except DatabaseError as error:
                logger.warning("The lease of %s could not be renewed yet: %s", entry.key, error)
                connection.close()
                pause = TRIED_AGAIN
    finally:
        connection.close()
