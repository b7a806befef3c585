"""What was changed goes into the change log, in the same transaction as the change itself."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from django.db import models

from fleet.logged_words import in_words
from fleet.models import LoggedChange, Machine, Person


@dataclass(frozen=True)
class ChangedValue:
    """One value before and after, in words; "" where there was, or is, none."""

    field: str
    old: str
    new: str


def differences(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[ChangedValue]:
    """Return what two sets of values have that is not the same; a missing one is none."""
    names = [*before, *(name for name in after if name not in before)]
    pairs = [(name, in_words(before.get(name)), in_words(after.get(name))) for name in names]
    return [ChangedValue(name, old, new) for name, old, new in pairs if old != new]


def keep_change(
    subject: models.Model,
    act: str,
    values: Iterable[ChangedValue] = (),
    *,
    by: Person | None,
    now: datetime,
    reason: str = "",
) -> LoggedChange:
    """Write one change into the log; it is told on the page of its machine, if it is of one.

    subject: the row that was changed.  act: what was done to it, as a past participle
    ("corrected").
    """
    return LoggedChange.objects.create(
        at=now,
        by=by,
        kind=str(subject._meta.verbose_name),
        subject_id=subject.pk,
        subject=str(subject)[:200],
        machine=_machine_of(subject),
        act=act,
        values=[asdict(value) for value in values],
        reason=reason.strip()[:300],
    )


def _machine_of(subject: models.Model) -> Machine | None:
    """Return the machine on whose page a change is told: that of the row, or of what it is of."""
    if isinstance(subject, Machine):
        return subject
    for name in ("machine", "meter", "booking", "record"):
        whole = getattr(subject, name, None)
        if isinstance(whole, models.Model):
            return _machine_of(whole)
    return None
