"""Readings that were refused are kept, mended or dismissed; none is ever dropped."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime

from django.db import transaction
from django.db.models import Max

from fleet.actions.take_readings import NewReading, take_reading
from fleet.intake.reading_rows import ReadingRow
from fleet.intake.resolving import MachinesByTag, RowConventions, RowRefused, resolve
from fleet.models import Machine, Person, Reading, ReadingToMend
from fleet.numerals import Commas, parse_number
from fleet.quantities import parse_use
from fleet.refusal import Refusal
from fleet.validation import ReadingReason

FIELDS = {
    ReadingReason.UNKNOWN_MACHINE: "machine",
    ReadingReason.NO_METER: "meter",
    ReadingReason.WHICH_METER: "meter",
    ReadingReason.NOT_A_DATE: "when",
    ReadingReason.NOT_A_NUMBER: "value",
}
"""The field of a row in which each reason lies."""


@dataclass(frozen=True)
class RefusedRow:
    """A row that was not taken, and why; known: it was refused before and is kept already."""

    row: ReadingRow
    reason: str
    sentence: str
    machine: Machine | None = None
    known: bool = False


@dataclass(frozen=True, kw_only=True)
class MendAnswer:
    """What a person says to an odd reading: the answer and, of a swap, what the meters showed."""

    answer: str = ""
    old_last: str = ""
    new_first: str = ""


def keep_to_mend(refused: Iterable[RefusedRow], order: RowConventions, now: datetime) -> list[int]:
    """Keep refused rows for a person to decide on; a row that is kept already is not kept twice.

    Returns the numbers of those that are kept from now on.
    """
    rows = [_kept(one, order, now) for one in refused]
    if not rows:
        return []
    last = ReadingToMend.objects.aggregate(last=Max("pk"))["last"] or 0
    ReadingToMend.objects.bulk_create(rows, batch_size=500, ignore_conflicts=True)
    prints = [row.fingerprint for row in rows]
    kept = ReadingToMend.objects.filter(pk__gt=last, entered_at=now, fingerprint__in=prints)
    return list(kept.order_by("pk").values_list("pk", flat=True))


def _kept(refused: RefusedRow, order: RowConventions, now: datetime) -> ReadingToMend:
    row = refused.row
    return ReadingToMend(
        fingerprint=row.fingerprint,
        machine_text=row.machine[:80],
        meter_text=row.meter[:40],
        read_at_text=row.when[:80],
        value_text=_with_point(row.value, order.commas)[:80],
        raw=row.raw,
        source=order.source,
        file_name=order.file_name[:200],
        line=row.line or None,
        reason=refused.reason,
        sentence=refused.sentence[:400],
        machine=refused.machine,
        entered_by=order.by,
        entered_at=now,
    )


def _with_point(value: str, commas: Commas | None) -> str:
    """Write a number with a decimal comma so that it reads the same wherever it is mended."""
    number, _, unit = value.partition(" ")
    if commas is not Commas.DECIMAL or "," not in number:
        return value
    try:
        return f"{parse_number(number, commas)!r} {unit}".strip()
    except ValueError:
        return value


def row_of_kept(kept: ReadingToMend) -> ReadingRow:
    """Return the row of a kept reading, to be tried again as it stands."""
    return ReadingRow(
        line=kept.line or 0,
        machine=kept.machine_text,
        meter=kept.meter_text,
        when=kept.read_at_text,
        value=kept.value_text,
        raw=kept.raw,
        mark=kept.fingerprint,
    )


@transaction.atomic
def mend(
    kept: ReadingToMend, row: ReadingRow, told: MendAnswer, *, by: Person, now: datetime
) -> Reading:
    """Take a kept reading as it is mended or answered; the same twice is one reading.

    Raises:
        ReadingRefused: the reading is odd; the verdict offers the answers.
        Refusal: at the field that still is wrong, or the row was settled before.

    """
    if (made := _settled(kept)) is not None:
        return made
    order = RowConventions(source=kept.source, by=kept.entered_by)
    try:
        new = resolve(row, MachinesByTag.named([row.machine]), order, now).new(order)
    except RowRefused as refused:
        raise Refusal(refused.sentence, FIELDS.get(refused.reason, "value")) from None
    new = replace(
        new, old_last=_swap_value(told.old_last, new), new_first=_swap_value(told.new_first, new)
    )
    reading = take_reading(new, now, told.answer)
    _settle(kept, by, now, mended_as=reading)
    return reading


def _swap_value(text: str, new: NewReading) -> float | None:
    if not text.strip():
        return None
    try:
        return parse_use(text, new.kind, new.machine.yard.units)
    except ValueError as error:
        raise Refusal(str(error), "value") from None


@transaction.atomic
def dismiss(kept: ReadingToMend, *, note: str, by: Person, now: datetime) -> None:
    """Settle a kept reading without taking it; the row stays on record with the reason."""
    if not note.strip():
        raise Refusal("Say why the reading is left out.", "note")
    if _settled(kept) is None:
        _settle(kept, by, now, mended_note=note.strip()[:200])


def _settled(kept: ReadingToMend) -> Reading | None:
    kept.refresh_from_db()
    if kept.mended_at is None:
        return None
    if kept.mended_as is None:
        raise Refusal("This reading was settled before; it is in the list of settled ones.")
    return kept.mended_as


def _settle(kept: ReadingToMend, by: Person | None, now: datetime, **how: object) -> None:
    """Mark a row as settled, unless somebody was quicker."""
    values = {"mended_at": now, "mended_by": by} | how
    ReadingToMend.objects.filter(pk=kept.pk, mended_at=None).update(**values)
    kept.refresh_from_db()
