"""The service book: work is written in, and put right by a new entry, never by rubbing out."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from fleet.actions.decide_work import lift_served
from fleet.actions.note_findings import NewFinding, not_standing, note_findings
from fleet.changed_facts import tell
from fleet.models import (
    DoneText,
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
    StepAnswer,
    StockMovement,
)
from fleet.procedures.given_answers import GivenAnswer
from fleet.procedures.kept_text import keep_texts
from fleet.refusal import Refusal


@dataclass(frozen=True)
class MeasuredValue:
    """One value measured against a limit, in its unit.

    place: where, if it is measured at several.  urgent: outside the limit it must not work at all.
    """

    limit: Limit
    value: float
    place: str = ""
    urgent: bool = False

    def __iter__(self) -> Iterator[Limit | float]:
        """Yield limit and value, so that a plain pair of both does where nothing else is known."""
        return iter((self.limit, self.value))


def measured_value(one: MeasuredValue | tuple[Limit, float]) -> MeasuredValue:
    """Return a pair of limit and value as a measured value."""
    return one if isinstance(one, MeasuredValue) else MeasuredValue(*one)


@dataclass(frozen=True)
class WorkDone:
    """What was done to a machine: a service, or a repair where service is empty.

    parts: what left the shelf, in pieces or mL.  measured: values against the service's limits.
    left_out: keys of services that it covers and that were not done this time.
    done_text: the steps by which it was done; answers: what was answered at them.
    """

    machine: Machine
    service: Service | None
    done_at: datetime
    done_by: Person | None = None
    minutes: int | None = None
    note: str = ""
    readings: Sequence[Reading] = ()
    measured: Sequence[MeasuredValue | tuple[Limit, float]] = ()
    parts: Sequence[tuple[Part, float]] = ()
    form_key: str | None = None
    cost: Decimal | None = None
    left_out: frozenset[int] = frozenset()
    done_text: DoneText | None = None
    answers: Sequence[GivenAnswer] = ()


def record_services(
    works: Sequence[WorkDone], *, by: Person | None, now: datetime
) -> list[ServiceRecord]:
    """Write the work of one visit into the book, in as many queries as one piece of it takes.

    The same form sent twice is one entry.
    """
    for work in works:
        _refuse_future(work, now)
    with transaction.atomic(savepoint=False):
        keys = [work.form_key for work in works if work.form_key]
        made = {row.form_key: row for row in ServiceRecord.objects.filter(form_key__in=keys)}
        fresh = [work for work in works if not work.form_key or work.form_key not in made]
        written = iter(_write_all(fresh, by=by, now=now))
        return [made.get(work.form_key) or next(written) for work in works]


def _refuse_future(work: WorkDone, now: datetime) -> None:
    if work.done_at > now:
        raise Refusal("Work cannot be done in the future; correct the day or the time.", "done_at")


def _write_all(
    works: Sequence[WorkDone], *, by: Person | None, now: datetime
) -> list[ServiceRecord]:
    keep_texts(work.done_text for work in works)
    records = [_new_record(work, by, now) for work in works]
    ServiceRecord.objects.bulk_create(records)
    pairs = list(zip(records, works, strict=True))
    _fill(pairs, by, now)
    _tell_found(records, note_findings(not_standing(_found(pairs)), by=by, now=now))
    lift_served(records, by=by, now=now)
    if records:
        tell({record.machine_id for record in records})
    return records


def _tell_found(records: Sequence[ServiceRecord], found: Sequence[Finding]) -> None:
    for record in records:
        record.just_found = [one for one in found if one.seen_during is record]


def write_instead(
    work: WorkDone, *, by: Person | None, now: datetime, corrects: ServiceRecord
) -> ServiceRecord:
    """Write an entry that takes the place of another; what was found is the caller's to follow."""
    _refuse_future(work, now)
    record = _new_record(work, by, now, corrects)
    record.save(force_insert=True)
    _fill([(record, work)], by, now)
    lift_served([record], by=by, now=now)
    return record


def _new_record(
    work: WorkDone, by: Person | None, now: datetime, corrects: ServiceRecord | None = None
) -> ServiceRecord:
    return ServiceRecord(
        machine=work.machine,
        service=work.service,
        done_at=work.done_at,
        done_by=work.done_by,
        minutes=work.minutes,
        note=work.note,
        cost=work.cost,
        left_out=" ".join(map(str, sorted(work.left_out))),
        entered_by=by,
        entered_at=now,
        corrects=corrects,
        form_key=work.form_key,
        done_text_id=_text_of(work, corrects),
    )


def _text_of(work: WorkDone, corrects: ServiceRecord | None) -> str | None:
    """Return the text by which it was done; what puts an entry right was done by the same."""
    if work.done_text is not None:
        return work.done_text.digest
    return corrects.done_text_id if corrects and corrects.service_id == _key(work) else None


def _key(work: WorkDone) -> int | None:
    return work.service.pk if work.service else None


def _fill(
    pairs: Sequence[tuple[ServiceRecord, WorkDone]], by: Person | None, now: datetime
) -> None:
    """Write what stands with each entry: meters, parts that left the shelf, measures, answers."""
    RecordedMeter.objects.bulk_create(
        RecordedMeter(record=record, meter=reading.meter, value=reading.value)
        for record, work in pairs
        for reading in work.readings
    )
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
        for record, work in pairs
        for part, quantity in work.parts
        if quantity
    )
    Measurement.objects.bulk_create(
        Measurement(record=record, limit=one.limit, value=one.value, place=one.place)
        for record, work in pairs
        for one in map(measured_value, work.measured)
    )
    StepAnswer.objects.bulk_create(
        StepAnswer(
            record=record, step=one.step, answer=one.answer, quantity_ml=one.quantity_ml,
            by=one.by or by, at=one.at or now, finding=one.finding,
        )
        for record, work in pairs
        for one in work.answers
    )  # fmt: skip


def _found(pairs: Sequence[tuple[ServiceRecord, WorkDone]]) -> list[NewFinding]:
    """Return a finding that needs work for each value outside its limit."""
    return [
        found
        for record, work in pairs
        for one in map(measured_value, work.measured)
        if (found := beyond(record, one, seen_at=record.done_at))
    ]


def beyond(
    record: ServiceRecord, measured: MeasuredValue, *, seen_at: datetime | None = None
) -> NewFinding | None:
    """Return the finding that needs work if a value of an entry lies outside its limit."""
    return beyond_on(record.machine, measured, during=record, seen_at=seen_at)


def beyond_on(
    machine: Machine,
    measured: MeasuredValue,
    *,
    during: ServiceRecord | None = None,
    seen_at: datetime | None = None,
    form_key: str | None = None,
) -> NewFinding | None:
    """Return the finding that needs work if a value lies outside its limit, else None.

    Outside a limit for safety, or where the person said so, it is not safe: that hangs a hold.
    during: the entry in the book, if the work has come so far.  seen_at: when it was measured,
    which may be long before it comes in; None: now.
    """
    limit = measured.limit
    sentence = outside(limit, measured.value, measured.place)
    if not sentence:
        return None
    unsafe = limit.safety or measured.urgent
    return NewFinding(
        machine=machine,
        text=sentence,
        gravity=Finding.Gravity.UNSAFE if unsafe else Finding.Gravity.DEFECT,
        seen_during=during,
        calls_for=limit.then,
        seen_at=seen_at,
        form_key=form_key,
    )


def outside(limit: Limit, value: float, place: str = "") -> str:
    """Return a sentence if a measured value lies outside its limit, else nothing."""
    unit = f" {limit.unit}" if limit.unit else ""
    name = f"{limit.name}, {place}" if place else limit.name
    if limit.low is not None and value < limit.low:
        return f"{name}: {value:g}{unit}, below the limit of {limit.low:g}{unit}"
    if limit.high is not None and value > limit.high:
        return f"{name}: {value:g}{unit}, above the limit of {limit.high:g}{unit}"
    return ""
