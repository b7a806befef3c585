"""The signal that facts about machines have changed; whoever draws conclusions listens to it.

Facts know nothing of consequences: actions send this inside their transaction, and the other half
of the site notes what it owes and re-computes after the commit.
"""

from collections.abc import Iterable

from django.dispatch import Signal

facts_changed = Signal()
"""Sent with machine_ids: the set of primary keys of the machines concerned."""


def tell(machine_ids: Iterable[int]) -> None:
    """Say that facts about these machines have changed; call it inside the transaction."""
    facts_changed.send(sender=None, machine_ids=set(machine_ids))
