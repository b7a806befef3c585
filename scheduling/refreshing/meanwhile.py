"""Facts that changed while a refresh was under way.

A long refresh may write what it worked out from facts that have changed since it loaded them, over
what a short one worked out from the new facts.  Each change leaves an errand, so errands that
were not there before the facts were loaded name the machines to work out once more.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from scheduling.models import Errand

LOOKED_AT = 500
"""Newest errands that are compared; more changes during one refresh are left to their own runs."""


@dataclass(frozen=True)
class Meanwhile:
    """The machines to work out once more, and the time of the last change."""

    machines: frozenset[int]
    at: datetime


def errands_now() -> frozenset[int]:
    """Return the newest errands to re-compute machines; call it before the facts are loaded."""
    rows = Errand.objects.filter(kind=Errand.Kind.REFRESH).order_by("-pk")
    return frozenset(rows.values_list("pk", flat=True)[:LOOKED_AT])


def changed_since(before: frozenset[int], ids: Collection[int] | None) -> Meanwhile | None:
    """Return what changed among machines (None: all) since `errands_now`; None for nothing."""
    rows = Errand.objects.filter(kind=Errand.Kind.REFRESH, pk__gt=min(before, default=0))
    fresh = [
        (payload["machines"], made_at)
        for pk, payload, made_at in rows.order_by("-pk").values_list("pk", "payload", "made_at")[
            :LOOKED_AT
        ]
        if pk not in before
    ]
    machines = frozenset(pk for keys, _ in fresh for pk in keys if ids is None or pk in ids)
    return Meanwhile(machines, max(at for _, at in fresh)) if machines else None
