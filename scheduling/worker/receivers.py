"""What happens when facts about machines change: an entry is owed, and done at once if small.

The entry is a row of the same transaction as the fact, so what is owed can be neither lost nor
owed for a change that was rolled back; a transaction owes one, however often it tells.  After the
commit a few machines are re-computed at once, in the request that changed them; many are left to
the queue.
"""

import logging
from collections.abc import Callable, Collection
from typing import Any
from uuid import uuid4

from django.db.models import Model
from django.db.models.signals import post_delete, post_save
from django.utils import timezone

from fleet.bring_in.import_signal import import_owed
from fleet.changed_facts import facts_changed
from fleet.models import (
    Absence,
    BayLoan,
    CapacitySpell,
    ClosedDay,
    Delivery,
    LentHand,
    OpenDay,
    OvertimeDay,
    Person,
    Qualification,
    Shop,
    ShopHours,
    WorkingHours,
)
from scheduling.models import OutboxEntry
from scheduling.outbox.entries import owe, ring
from scheduling.outbox.gathering import gather
from scheduling.outbox.looks import owe_looks

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


SHOP_OF: dict[type[Model], Callable[[Any], int | None]] = {
    Absence: lambda row: row.person.shop_id,
    WorkingHours: lambda row: row.person.shop_id,
    Qualification: lambda row: row.person.shop_id,
    Person: lambda row: row.shop_id,
    Shop: lambda row: row.pk,
    **dict.fromkeys(
        (ShopHours, ClosedDay, OpenDay, OvertimeDay, BayLoan, CapacitySpell, LentHand, Delivery),
        lambda row: row.shop_id,
    ),
}
"""Facts of a shop on which its plan hangs -> the key of the shop."""

SIGNING_IN = frozenset({"last_login", "password", "signed_out_times"})
"""What signing in and out writes of a person; no plan hangs on it."""


def on_shop_fact(sender: type[Model], instance: Model, **how: Any) -> None:
    """Owe a look at the plan of the shop whose fact was written or deleted, in its transaction."""
    written = how.get("update_fields")
    if how.get("raw") or (written and written <= SIGNING_IN):
        return
    if shop := SHOP_OF[sender](instance):
        owe_looks({shop}, timezone.now())


def connect() -> None:
    """Listen for changes; twice has the effect of once."""
    import_owed.connect(on_import_owed, dispatch_uid="read what is too large to wait for")

    for model in SHOP_OF:
        for signal in (post_save, post_delete):
            signal.connect(on_shop_fact, sender=model, dispatch_uid=f"look again at {model}")
    facts_changed.connect(on_facts_changed, dispatch_uid="refresh what facts change")
