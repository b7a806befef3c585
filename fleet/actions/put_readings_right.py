"""A reading put right with all that showed it: entries of the book, check-outs and returns."""

from dataclasses import replace
from datetime import datetime

from django.db import transaction

from fleet.actions.correct_readings import Correction, correct_reading, strike_reading
from fleet.actions.correct_records import work_of, write_over
from fleet.models import HandOver, Person, Reading, ServiceRecord
from fleet.queries.standing_records import standing_records
from fleet.refusal import Refusal


@transaction.atomic
def put_reading_right(correction: Correction, now: datetime) -> Reading:
    """Put a reading right by a new one; an entry that noted it says the new value, too.

    Raises:
        ReadingRefused: the correction is odd itself and nobody said that it is sure.
        Refusal: its time is that of a check-out or return.

    """
    old = correction.reading
    moved = correction.read_at is not None and correction.read_at != old.read_at
    handed = HandOver.objects.filter(readings=old, at=old.read_at).first()
    if moved and handed:
        what = handed.get_direction_display()
        raise Refusal(f"It was read at the {what}; correct the time of the {what} instead.", "when")
    entries = _noted(old)
    new = correct_reading(correction, now)
    for entry in entries:
        said = work_of(entry)
        shown = [_instead_of(one, old, new) for one in said.readings]
        work = replace(said, readings=shown, done_at=new.read_at)
        write_over(entry, work, correction.by, now, correction.note)
    return new


@transaction.atomic
def strike_reading_out(reading: Reading, *, why: str, by: Person, now: datetime) -> Reading:
    """Say that a meter never showed this; an entry that noted it has no value of it any more."""
    entries = _noted(reading)
    struck = strike_reading(reading, why=why, by=by, now=now)
    for entry in entries:
        said = work_of(entry)
        shown = [one for one in said.readings if one.meter.pk != reading.meter_id]
        write_over(entry, replace(said, readings=shown), by, now, why)
    return struck


def _noted(reading: Reading) -> list[ServiceRecord]:
    """Return the entries that stand and noted this reading: same meter, moment and value."""
    rows = standing_records().filter(
        done_at=reading.read_at, meters__meter=reading.meter_id, meters__value=reading.value
    )
    return list(rows.select_related("machine__yard__shop", "service"))


def _instead_of(shown: Reading, old: Reading, new: Reading) -> Reading:
    return new if shown.meter.pk == old.meter_id and shown.value == old.value else shown
