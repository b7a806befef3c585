"""Entries of the service book put right or struck: by a new entry, never by rubbing out.

What hangs on an entry goes with it: what it took from the shelf, the reading of its visit, what
was found and settled at it, and the pins that it served.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime

from django.db import transaction

from fleet.actions.checks_follow import checks_follow
from fleet.actions.correct_findings import strike_findings, unsettle_findings
from fleet.actions.correct_readings import Correction, correct_reading, strike_reading
from fleet.actions.decide_work import services_done, take_back_served
from fleet.actions.fit_meters import lock_machines
from fleet.actions.keep_changes import differences, keep_change
from fleet.actions.level_shelf import level_shelf
from fleet.actions.note_findings import note_findings
from fleet.actions.record_work import (
    MeasuredValue,
    WorkDone,
    beyond,
    measured_value,
    outside,
    write_instead,
)
from fleet.changed_facts import tell
from fleet.models import Finding, Person, Reading, ServiceRecord, StockMovement
from fleet.queries.answered_steps import answers_in_words, answers_of
from fleet.queries.entry_words import entry_in_words
from fleet.queries.standing_readings import standing
from fleet.queries.standing_records import standing_records
from fleet.refusal import Refusal
from fleet.saying import say_moment


def work_of(record: ServiceRecord) -> WorkDone:
    """Return what an entry says, as it could be written again."""
    used = record.parts_used.filter(reason=StockMovement.Reason.USED).select_related("part")
    return WorkDone(
        machine=record.machine,
        service=record.service,
        done_at=record.done_at,
        done_by=record.done_by,
        minutes=record.minutes,
        note=record.note,
        readings=[
            Reading(meter=shown.meter, value=shown.value)
            for shown in record.meters.select_related("meter")
        ],
        measured=[
            MeasuredValue(one.limit, one.value, one.place)
            for one in record.measurements.select_related("limit")
        ],
        parts=[(one.part, -one.quantity) for one in used],
        cost=record.cost,
        left_out=record.services_left_out,
        answers=answers_of(record),
    )


def entries_of_visit(record: ServiceRecord) -> list[ServiceRecord]:
    """Return the other entries that stand of the same visit: same machine, same moment."""
    same = standing_records().filter(machine=record.machine_id, done_at=record.done_at)
    return list(same.exclude(pk=record.pk).select_related("machine__yard__shop", "service"))


@transaction.atomic
def correct_record(
    record: ServiceRecord,
    work: WorkDone,
    *,
    by: Person,
    now: datetime,
    why: str = "",
    sure: bool = False,
) -> ServiceRecord:
    """Put an entry right by a new one; the old entry stays in the book, struck through.

    A meter shows one value at one moment, so the reading of the visit and its other entries follow
    the new value; a new time is of the whole visit, too.  sure: odd as the value is, it is so.

    Raises:
        ReadingRefused: the new value is odd and nobody said that it is sure.
        Refusal: it was put right before, or the work lies in the future.

    """
    lock_machines([record.machine_id])
    if work.form_key and (made := ServiceRecord.objects.filter(form_key=work.form_key).first()):
        return made
    _refuse_corrected(record)
    others = entries_of_visit(record)
    _readings_follow(record, work, by, now, why=why, sure=sure)
    corrected = write_over(record, work, by, now, why)
    for other in others:
        said = work_of(other)
        same = replace(said, done_at=work.done_at, readings=_shown(said.readings, record, work))
        if _differ(said, same):
            write_over(other, same, by, now, why)
    return corrected


def write_over(
    record: ServiceRecord, work: WorkDone, by: Person | None, now: datetime, why: str
) -> ServiceRecord:
    """Write an entry in the place of another inside the caller's transaction.

    Its shelf and its findings follow; the readings of the visit are the caller's to follow.
    """
    before = entry_in_words(record) | answers_in_words(record)
    take_back_served(record)
    if record.service_id != (work.service.pk if work.service else None):
        work = replace(work, answers=())  # of other steps
    corrected = write_instead(work, by=by, now=now, corrects=record)
    _shelf_follows(record, corrected, by, now)
    _findings_follow(record, corrected, work, by, now)
    checks_follow(record, corrected, by=by, now=now)
    after = entry_in_words(corrected) | answers_in_words(corrected)
    keep_change(record, "corrected", differences(before, after), by=by, now=now, reason=why)
    tell({record.machine_id, work.machine.pk})
    return corrected


@transaction.atomic
def strike_record(record: ServiceRecord, *, why: str, by: Person, now: datetime) -> ServiceRecord:
    """Say that an entry was not done after all; what it took goes back on the shelf.

    The reading stays, and what was seen beside the work: those were so whether or not it was done.
    """
    lock_machines([record.machine_id])
    _refuse_corrected(record)
    if not why.strip():
        raise Refusal("Say why the entry is struck.", "why")
    take_back_served(record)
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
    _shelf_follows(record, None, by, now)
    because = f"the entry was struck: {why.strip()}"
    measured = _found_by_measuring(record)
    strike_findings(
        [finding for finding in measured.values() if finding.settled_at is None],
        why=because, by=by, now=now,
    )  # fmt: skip
    unsettle_findings(list(record.settled.filter(struck=False)), why=because, by=by, now=now)
    keep_change(record, "struck", by=by, now=now, reason=why)
    tell({record.machine_id})
    return struck


def _refuse_corrected(record: ServiceRecord) -> None:
    later = ServiceRecord.objects.filter(corrects=record).select_related("entered_by").first()
    if record.void or later:
        told = later or record
        yard = record.machine.yard
        at = say_moment(told.entered_at, yard.zone, told.entered_at.date())
        raise Refusal(
            f"This entry was already put right on {at} by {told.entered_by or 'somebody'};"
            " correct that one instead."
        )


def _readings_follow(
    record: ServiceRecord, work: WorkDone, by: Person, now: datetime, *, why: str, sure: bool
) -> None:
    """Put the reading of the visit right with the value that the entry showed."""
    shown = {reading.meter.pk: reading.value for reading in work.readings}
    for noted in record.meters.select_related("meter"):
        taken = standing().filter(
            meter=noted.meter, read_at=record.done_at, value=noted.value
        ).select_related("meter__machine__yard")  # fmt: skip
        reading = taken.first()
        if reading is None:
            continue
        value = shown.get(noted.meter.pk)
        if value is None:
            strike_reading(reading, why=why.strip() or "the entry was put right", by=by, now=now)
        elif (value, work.done_at) != (noted.value, record.done_at):
            correct_reading(
                Correction(
                    reading=reading, value=value, read_at=work.done_at, by=by,
                    note=why.strip()[:200], sure=sure,
                ),
                now,
            )  # fmt: skip


def _shown(readings: Sequence[Reading], record: ServiceRecord, work: WorkDone) -> list[Reading]:
    """Return what another entry of the visit shows once the values of this one are put right."""
    old = {noted.meter_id: noted.value for noted in record.meters.all()}
    new = {reading.meter.pk: reading for reading in work.readings}
    kept = []
    for reading in readings:
        if old.get(reading.meter.pk) != reading.value:
            kept.append(reading)
        elif reading.meter.pk in new:
            kept.append(new[reading.meter.pk])
    return kept


def _differ(one: WorkDone, other: WorkDone) -> bool:
    def shown(work: WorkDone) -> set[tuple[int, float]]:
        return {(reading.meter.pk, reading.value) for reading in work.readings}

    return one.done_at != other.done_at or shown(one) != shown(other)


def _shelf_follows(
    old: ServiceRecord, new: ServiceRecord | None, by: Person | None, now: datetime
) -> None:
    """Put back what the old entry took; what was counted since then stands all the same."""
    used = list(old.parts_used.filter(reason=StockMovement.Reason.USED, corrected_by=None))
    StockMovement.objects.bulk_create(
        StockMovement(
            part_id=movement.part_id,
            shop_id=movement.shop_id,
            quantity=-movement.quantity,
            reason=StockMovement.Reason.COUNT,
            at=now,
            by=by,
            corrects=movement,
            note="entry in the book put right",
        )
        for movement in used
    )
    places = {(one.part_id, one.shop_id) for one in used}
    if new is not None:
        new.parts_used.update(at=_first_written(old))  # it was taken then, not now
        places |= set(new.parts_used.values_list("part", "shop"))
    level_shelf(places, by=by, now=now)


def _first_written(record: ServiceRecord) -> datetime:
    """Return when the work was first written down, however often it was put right since."""
    while record.corrects is not None:
        record = record.corrects
    return record.entered_at


def _found_by_measuring(record: ServiceRecord) -> dict[tuple[int, str], Finding]:
    """Return limit and place -> the finding that was noted since its value lay outside."""
    texts = {
        sentence[:400]: (one.limit_id, one.place)
        for one in record.measurements.select_related("limit")
        if (sentence := outside(one.limit, one.value, one.place))
    }
    found = record.findings.filter(text__in=texts, struck=False)
    return {texts[finding.text]: finding for finding in found}


def _findings_follow(
    old: ServiceRecord, new: ServiceRecord, work: WorkDone, by: Person | None, now: datetime
) -> None:
    """Let what was found and settled at an entry follow it.

    1. A value outside its limit: the finding says the new value; one that is inside strikes it.
    2. What was seen beside the work is shown with the new entry.
    3. What the work settled stays settled as far as the new entry still answers it.
    """
    because = "the entry in the book was put right"
    before = _found_by_measuring(old)
    fresh = []
    for one in map(measured_value, work.measured):
        where = (one.limit.pk, one.place)
        wanted, had = beyond(new, one), before.get(where)
        if wanted and had:
            del before[where]
            _say_new_value(had, wanted.text, by, now, because)
        elif wanted:
            fresh.append(wanted)
    strike_findings(
        [one for one in before.values() if one.settled_at is None], why=because, by=by, now=now
    )
    kept = old.findings.exclude(pk__in=[one.pk for one in before.values()])
    kept.update(seen_during=new)
    note_findings(fresh, by=by, now=now)
    _settled_follow(old.settled.filter(struck=False), new, by, now, because)


def _say_new_value(finding: Finding, text: str, by: Person | None, now: datetime, why: str) -> None:
    if finding.text == text:
        return
    changed = differences({"text": finding.text}, {"text": text})
    finding.text = text
    finding.save(update_fields=["text"])
    keep_change(finding, "corrected", changed, by=by, now=now, reason=why)


def _settled_follow(
    settled: Iterable[Finding], new: ServiceRecord, by: Person | None, now: datetime, why: str
) -> None:
    answered = services_done(new)
    opened = []
    for finding in settled:
        if finding.calls_for_id in answered if new.service_id else finding.calls_for_id is None:
            finding.settled_during = new
            finding.save(update_fields=["settled_during"])
        else:
            opened.append(finding)
    unsettle_findings(opened, why=why, by=by, now=now)
