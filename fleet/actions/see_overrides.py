"""A manager has seen that a machine goes out against a block."""

from datetime import datetime

from django.db import transaction

from fleet.actions.keep_changes import keep_change
from fleet.models import Override, Person


@transaction.atomic
def see_override(row: Override, *, by: Person, now: datetime) -> None:
    """Note who saw it first; seen twice is seen once."""
    if Override.objects.filter(pk=row.pk, seen_at=None).update(seen_at=now, seen_by=by):
        keep_change(row, "seen", by=by, now=now)
