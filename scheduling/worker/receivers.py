"""What happens when facts about machines change: an entry is owed, and done at once if small.

The entry is a row of the same transaction as the fact, so what is owed can be neither lost nor
owed for a change that was rolled back; a transaction owes one, however often it tells.  After the
commit a few machines are re-computed at once, in the request that changed them; many are left to
the queue.
"""

import logging
from collections.abc import Collection
from typing import Any
from uuid import uuid4

from django.utils import timezone

from fleet.bring_in.import_signal import import_owed
from fleet.changed_facts import facts_changed
from scheduling.models import OutboxEntry
from scheduling.outbox.entries import owe, ring
from scheduling.outbox.gathering import gather

logger = logging.getLogger(__name__)

AT_ONCE = 5
"""Machines that are re-computed in the request itself; more would keep a person waiting."""


def on_facts_changed(machine_ids: Collection[int], **_: Any) -> None:
    """Owe a refresh of these machines; the signal carries no time, so the clock is read here."""
    if machine_ids:
        gather(machine_ids, timezone.now(), do_after)


def do_after(pk: int, machines: int) -> None:
    """Do the entry of a transaction that was committed, or ring for it where it is large."""
    if machines <= AT_ONCE:
        do_now(pk)
    else:
        ring(pk)


def do_now(pk: int) -> None:
    """Do an outbox entry in this process; whatever goes wrong is left to the sweep."""
    # what plans and solves is loaded with the first change, not with every command of the site
    from scheduling.worker.perform import perform_entry  # noqa: PLC0415

    try:
        perform_entry(pk, timezone.now())
    except Exception:  # a page must not fail for what follows from the fact that it took
        logger.exception("OutboxEntry %s could not be done at once; the sweep will look.", pk)


def on_import_owed(import_id: int, **_: Any) -> None:
    """Owe the reading of a large file, in the transaction that asks for it."""
    now = timezone.now()
    owe(f"import:{uuid4().hex}", OutboxEntry.Kind.IMPORT, {"import": import_id}, now, now)


def connect() -> None:
    """Listen for changes; twice has the effect of once."""
    import_owed.connect(on_import_owed, dispatch_uid="read what is too large to wait for")
    facts_changed.connect(on_facts_changed, dispatch_uid="refresh what facts change")
