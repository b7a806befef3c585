"""The service book: work is written in, and put right by a new entry, never by rubbing out."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.actions.decide_work import lift_served
from fleet.actions.note_findings import NewFinding, note_finding
from fleet.changed_facts import tell
from fleet.models import (
    Finding,
    Limit,
    Machine,
    Measurement,
    Part,
    Person,
    Reading,
    RecordedMeter,
    Service,
    ServiceRecord,
    StockMovement,
)
from fleet.refusal import Refusal


@dataclass(frozen=True)
class WorkDone:
    """What was done to a machine: a service, or a repair where service is empty.

    parts: what left the shelf, in pieces or mL.  measured: values against the service's limits.
    """

    machine: Machine
    service: Service | None
    done_at: datetime
    done_by: Person | None = None
    minutes: int | None = None
    note: str = ""
    readings: Sequence[Reading] = ()
    measured: Sequence[tuple[Limit, float]] = ()
    parts: Sequence[tuple[Part, float]] = ()
    form_key: str | None = None


@transaction.atomic
def record_service(work: WorkDone, *, by: Person | None, now: datetime) -> ServiceRecord:
    """Write work into the book; the same form sent twice is one entry."""
    if work.form_key:
        made = ServiceRecord.objects.filter(form_key=work.form_key).first()
        if made:
            return made
    record = _write(work, by=by, now=now)
    lift_served(record, by=by, now=now)
    tell({work.machine.pk})
    return record


def _write(
    work: WorkDone, *, by: Person | None, now: datetime, corrects: ServiceRecord | None = None
) -> ServiceRecord:
    if work.done_at > now:
        raise Refusal("Work cannot be done in the future; correct the day or the time.", "done_at")
    record = ServiceRecord.objects.create(
        machine=work.machine,
        service=work.service,
        done_at=work.done_at,
        done_by=work.done_by,
        minutes=work.minutes,
        note=work.note,
        entered_by=by,
        entered_at=now,
        corrects=corrects,
        form_key=work.form_key,
    )
    RecordedMeter.objects.bulk_create(
        RecordedMeter(record=record, meter=reading.meter, value=reading.value)
        for reading in work.readings
    )
    _take_parts(record, work, by, now)
    _measure(record, work, by, now)
    return record


def _take_parts(record: ServiceRecord, work: WorkDone, by: Person | None, now: datetime) -> None:
    StockMovement.objects.bulk_create(
        StockMovement(
            part=part,
            shop=work.machine.yard.shop,
            quantity=-quantity,
            reason=StockMovement.Reason.USED,
            at=now,
            by=by,
            record=record,
        )
        for part, quantity in work.parts
        if quantity
    )


def _measure(record: ServiceRecord, work: WorkDone, by: Person | None, now: datetime) -> None:
    """Keep what was measured; a value outside its limit becomes a finding that needs work."""
    Measurement.objects.bulk_create(
        Measurement(record=record, limit=limit, value=value) for limit, value in work.measured
    )
    for limit, value in work.measured:
        if sentence := outside(limit, value):
            found = NewFinding(
                machine=work.machine,
                text=sentence,
                gravity=Finding.Gravity.DEFECT,
                seen_during=record,
                calls_for=limit.then,
            )
            note_finding(found, by=by, now=now)


def outside(limit: Limit, value: float) -> str:
    """Return a sentence if a measured value lies outside its limit, else nothing."""
    unit = f" {limit.unit}" if limit.unit else ""
    if limit.low is not None and value < limit.low:
        return f"{limit.name}: {value:g}{unit}, below the limit of {limit.low:g}{unit}"
    if limit.high is not None and value > limit.high:
        return f"{limit.name}: {value:g}{unit}, above the limit of {limit.high:g}{unit}"
    return ""


@transaction.atomic
def correct_record(
    record: ServiceRecord, work: WorkDone, *, by: Person, now: datetime
) -> ServiceRecord:
    """Put an entry right by a new one; the old entry stays in the book, struck through."""
    _refuse_corrected(record)
    corrected = _write(work, by=by, now=now, corrects=record)
    _put_back(record, by, now)
    tell({record.machine_id, work.machine.pk})
    return corrected


@transaction.atomic
def strike_record(record: ServiceRecord, *, why: str, by: Person, now: datetime) -> ServiceRecord:
    """Say that an entry was not done after all; what it took goes back on the shelf."""
    _refuse_corrected(record)
    if not why.strip():
        raise Refusal("Say why the entry is struck.", "why")
    struck = ServiceRecord.objects.create(
        machine=record.machine,
        service=record.service,
        done_at=record.done_at,
        entered_by=by,
        entered_at=now,
        corrects=record,
        void=True,
        note=why.strip(),
    )
    _put_back(record, by, now)
    tell({record.machine_id})
    return struck


def _refuse_corrected(record: ServiceRecord) -> None:
    if later := ServiceRecord.objects.filter(corrects=record).first():
        raise Refusal(
            f"This entry was already put right on {later.entered_at:%Y-%m-%d}"
            f" by {later.entered_by or 'somebody'}; correct that one instead."
        )


def _put_back(record: ServiceRecord, by: Person, now: datetime) -> None:
    StockMovement.objects.bulk_create(
        StockMovement(
            part_id=used.part_id,
            shop_id=used.shop_id,
            quantity=-used.quantity,
            reason=StockMovement.Reason.COUNT,
            at=now,
            by=by,
            note="entry in the book put right",
        )
        for used in record.parts_used.all()
    )
