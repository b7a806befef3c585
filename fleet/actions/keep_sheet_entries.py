"""What is typed on a job sheet is kept as it is typed, and let go once it is in the book."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.db.models import Model

from fleet.actions.keep_changes import keep_change
from fleet.models import (
    Finding,
    Machine,
    MeterKind,
    Person,
    Progress,
    Reading,
    ServiceRecord,
    SheetEntry,
)
from fleet.refusal import Refusal

MOST_ENTRIES = 400
"""Entries that one message of a phone may bring."""
OVER = "over"
"""Field of the entry that says of a sheet without any other that it is left or put off."""
LONGEST_VALUE = 4000
"""Characters of one entry."""


@dataclass(frozen=True)
class NewEntry:
    """One field as it stands on a phone.  key: made there; the same sent twice is one entry."""

    field: str
    value: str
    typed_at: datetime
    key: str
    label: str = ""


@transaction.atomic
def keep_entries(
    machine: Machine, sheet: str, entries: Sequence[NewEntry], *, by: Person, now: datetime
) -> bool:
    """Keep what was typed on a person's sheet; False if that sheet is in the book by now.

    What was typed later stands, in whatever order messages come in; each entry is one conditional
    write, two if its field is new.
    """
    if len(entries) > MOST_ENTRIES or any(len(one.value) > LONGEST_VALUE for one in entries):
        raise Refusal("That is more than one sheet holds.")
    if is_spent(sheet, by):
        return False
    for one in entries:
        _keep(machine, sheet, one, by, now)
    return True


def _keep(machine: Machine, sheet: str, one: NewEntry, by: Person, now: datetime) -> None:
    at = min(one.typed_at, now)
    same = SheetEntry.objects.filter(by=by, sheet=sheet, field=one.field)
    told = {"value": one.value, "typed_at": at, "key": one.key, "kept_at": now}
    if same.filter(typed_at__lte=at).update(**told):
        return
    row = SheetEntry(
        machine=machine, by=by, sheet=sheet, field=one.field, label=one.label[:160], **told
    )
    SheetEntry.objects.bulk_create([row], ignore_conflicts=True)


def keep_typed(
    machine: Machine, sheet: str, typed: Mapping[str, str], *, by: Person, now: datetime
) -> None:
    """Keep all that stands on a sheet as it is sent, over what was kept of it: two queries."""
    labels = dict(SheetEntry.objects.filter(by=by, sheet=sheet).values_list("field", "label"))
    SheetEntry.objects.bulk_create(
        _rows(machine, sheet, typed, labels, by, now),
        update_conflicts=True,
        unique_fields=["by", "sheet", "field"],
        update_fields=["value", "typed_at", "kept_at", "key"],
    )


def is_spent(sheet: str, by: Person) -> bool:
    """Whether a sheet was finished, left or put off: what comes in late must not open it again."""
    if SheetEntry.objects.filter(by=by, sheet=sheet).exclude(spent_at=None).exists():
        return True
    written: list[tuple[type[Model], str]] = [
        (ServiceRecord, "0"), (Progress, "0"), (Finding, "f"), *((Reading, k) for k in MeterKind),
    ]  # fmt: skip
    return any(
        model._default_manager.filter(form_key=f"{sheet}-{end}").exists() for model, end in written
    )


def spend_sheet(sheet: str, *, by: Person, now: datetime) -> None:
    """Let go of what was typed on a sheet, since it is in the book; one query."""
    SheetEntry.objects.filter(by=by, sheet=sheet, spent_at=None).update(spent_at=now)


def carry_on(
    machine: Machine, sheet: str, typed: Mapping[str, str], *, by: Person, now: datetime
) -> None:
    """Let go of a sheet, and keep of it what is still to be finished as a new sheet.

    typed: field -> value.  The new key follows from the old one, so that a form sent twice keeps
    it once.
    """
    labels = dict(SheetEntry.objects.filter(by=by, sheet=sheet).values_list("field", "label"))
    spend_sheet(sheet, by=by, now=now)
    new = hashlib.sha256(sheet.encode()).hexdigest()[:32]
    rows = _rows(machine, new, typed, labels, by, now)
    over = SheetEntry(
        machine=machine, by=by, sheet=sheet, field=OVER, typed_at=now, kept_at=now, key=sheet,
        spent_at=now,
    )  # fmt: skip
    SheetEntry.objects.bulk_create([over, *rows], ignore_conflicts=True)


def open_again(
    machine: Machine, sheet: str, typed: Mapping[str, str], *, by: Person, at: datetime
) -> None:
    """Let what stood on a sheet that was finished stand open again, since that was undone.

    sheet: its key, which the book knows: what stands open has a new one.  at: when it was finished;
    a meter's reading is of that day.
    """
    labels = dict(SheetEntry.objects.filter(by=by, sheet=sheet).values_list("field", "label"))
    new = hashlib.sha256(f"{sheet} undone".encode()).hexdigest()[:32]
    rows = _rows(machine, new, typed, labels, by, at)
    SheetEntry.objects.bulk_create(rows, ignore_conflicts=True)


def _rows(
    machine: Machine,
    sheet: str,
    typed: Mapping[str, str],
    labels: Mapping[str, str],
    by: Person,
    at: datetime,
) -> list[SheetEntry]:
    return [
        SheetEntry(
            machine=machine, by=by, sheet=sheet, field=name, label=labels.get(name, ""),
            value=value, typed_at=at, kept_at=at, key=sheet,
        )
        for name, value in typed.items()
    ]  # fmt: skip


@transaction.atomic
def let_go(entries: Sequence[SheetEntry], *, by: Person, now: datetime) -> None:
    """Let entries go that nobody will put into the book; they stay on record."""
    for one in entries:
        keep_change(one, "let go", by=by, now=now)
    keys = [one.pk for one in entries]
    SheetEntry.objects.filter(pk__in=keys, spent_at=None).update(spent_at=now)
