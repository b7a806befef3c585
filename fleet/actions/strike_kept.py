"""What is kept beside a finding or a hand-over is struck where it was wrong."""

from datetime import datetime

from django.db import transaction

from fleet.actions.keep_changes import keep_change
from fleet.models import Person
from fleet.models.struck_facts import StruckFact
from fleet.refusal import Refusal


@transaction.atomic
def strike(row: StruckFact, *, why: str, by: Person, now: datetime) -> bool:
    """Strike what was wrong, a photo or a charge; it stays on record.  Twice is once."""
    if not why.strip():
        raise Refusal("Say why it is struck.", "why")
    struck = type(row)._default_manager.filter(pk=row.pk, struck_at=None).update(
        struck_at=now, struck_by=by, struck_why=why.strip()[:200]
    )  # fmt: skip
    if struck:
        keep_change(row, "struck", by=by, now=now, reason=why)
    return bool(struck)
