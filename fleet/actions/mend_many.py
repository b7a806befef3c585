"""Kept readings of one reason get one answer: many at once, instead of one by one."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.db.models import QuerySet

from fleet.actions.take_rows import take_as_right
from fleet.models import Person, ReadingToMend
from fleet.refusal import Refusal
from fleet.saying import counted
from fleet.validation.reasons import ODD

AT_ONCE = 5000
"""Readings that are taken as right by one press."""


@dataclass(frozen=True)
class ManyAnswered:
    """How many were taken, left out, and still wait."""

    taken: int = 0
    left_out: int = 0
    waiting: int = 0

    @property
    def said(self) -> str:
        """What was done, as a sentence."""
        if self.left_out:
            return f"{counted(self.left_out, 'reading')} left out, and why."
        still = f"; {self.waiting:,} still wait" if self.waiting else ""
        return f"{counted(self.taken, 'reading')} taken as right{still}."


@transaction.atomic
def leave_out_many(
    kept: QuerySet[ReadingToMend], reason: str, *, note: str, by: Person, now: datetime
) -> ManyAnswered:
    """Leave all kept readings of a reason out; they stay on record with the note."""
    if not note.strip():
        raise Refusal("Say why these readings are left out.", "note")
    rows = ReadingToMend.objects.filter(pk__in=kept.filter(reason=reason).values("pk"))
    left = rows.filter(mended_at=None).update(
        mended_at=now, mended_by=by, mended_note=note.strip()[:200]
    )
    return ManyAnswered(left_out=left)


def take_many_as_right(
    kept: QuerySet[ReadingToMend], reason: str, *, by: Person, now: datetime
) -> ManyAnswered:
    """Take the kept readings of an odd reason as they stand."""
    if reason not in ODD:
        raise Refusal("These cannot be taken as they are; mend them one by one.")
    rows = kept.filter(reason=reason, mended_at=None).order_by("pk")
    done = take_as_right(rows[:AT_ONCE], by=by, now=now)
    return ManyAnswered(taken=done.new + done.known, waiting=rows.count())
