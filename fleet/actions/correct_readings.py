"""Readings put right: a new reading takes the place of the old one, which stays on record."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.actions.fit_meters import lock_machines
from fleet.actions.keep_changes import differences, keep_change
from fleet.changed_facts import tell
from fleet.models import HandOver, Person, Reading
from fleet.quantities import show_use
from fleet.queries.judge_readings import NewReading, ReadingRefused, look_instead
from fleet.refusal import Refusal
from fleet.validation.reasons import ODD


@dataclass(frozen=True, kw_only=True)
class Correction:
    """What a reading should have been; read_at empty: the time was right.

    sure: odd as it is, it is so; without it an odd correction is refused like any odd reading.
    """

    reading: Reading
    value: float
    read_at: datetime | None = None
    by: Person | None = None
    note: str = ""
    sure: bool = False


def correct_reading(correction: Correction, now: datetime) -> Reading:
    """Put a reading right by a new one; the old one stays on record and stands no more.

    Raises:
        ReadingRefused: the correction is odd itself and nobody said that it is sure.

    """
    return _correct(correction, now, void=False)


def strike_reading(reading: Reading, *, why: str, by: Person, now: datetime) -> Reading:
    """Say that a meter never showed this; the reading stays on record, struck out."""
    if not why.strip():
        raise Refusal("Say why the reading is struck out.", "why")
    correction = Correction(reading=reading, value=reading.value, by=by, note=why.strip())
    return _correct(correction, now, void=True)


@transaction.atomic
def _correct(correction: Correction, now: datetime, *, void: bool) -> Reading:
    old = correction.reading
    machine_id = old.meter.machine_id
    lock_machines([machine_id])
    read_at = correction.read_at or old.read_at
    later = Reading.objects.filter(corrects=old).first()
    if later is not None:
        if (later.value, later.read_at, later.void) == (correction.value, read_at, void):
            return later
        raise Refusal("This reading was already put right; correct the later one instead.")
    odd = False if void else _odd(correction, read_at, now)
    new = Reading.objects.create(
        meter=old.meter,
        read_at=read_at,
        value=correction.value,
        source=old.source,
        read_by=correction.by,
        entered_at=now,
        really_so=odd,
        corrects=old,
        void=void,
        note=correction.note,
    )
    for handed in HandOver.objects.filter(readings=old):
        handed.readings.add(new)
    _log(new, now)
    tell({machine_id})
    return new


def _log(new: Reading, now: datetime) -> None:
    old = new.corrects
    assert old is not None
    after = {} if new.void else _in_words(new)
    keep_change(
        old, "struck" if new.void else "corrected", differences(_in_words(old), after),
        by=new.read_by, now=now, reason=new.note,
    )  # fmt: skip


def _in_words(reading: Reading) -> dict[str, str]:
    """Return what a reading says, by the names that its form has."""
    meter, yard = reading.meter, reading.meter.machine.yard
    return {
        "it showed": show_use(reading.value, meter.kind, yard.units),
        "read at": f"{reading.read_at.astimezone(yard.zone):%Y-%m-%d %H:%M}",
    }


def _odd(correction: Correction, read_at: datetime, now: datetime) -> bool:
    """Judge a correction as if the reading that it corrects had never been."""
    meter = correction.reading.meter
    new = NewReading(
        machine=meter.machine,
        kind=meter.kind,
        value=correction.value,
        read_at=read_at,
        by=correction.by,
    )
    verdict = look_instead(new, correction.reading, now).verdict
    if verdict.fine:
        return False
    if verdict.reason in ODD and correction.sure:
        return True
    raise ReadingRefused(verdict, new)
