"""A mechanic finishes a job: readings, book entries, findings and parts in one transaction."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.db import transaction
from django.db.models import Model

from fleet.actions.keep_sheet_entries import carry_on, spend_sheet
from fleet.actions.note_findings import holds_of, settle_findings
from fleet.actions.record_work import MeasuredValue, WorkDone, record_services
from fleet.actions.remember_acts import SentSheet, remember_act
from fleet.actions.require_qualified import refuse_unqualified
from fleet.actions.take_readings import NewReading, ReadingRefused, take_together
from fleet.models import (
    Act,
    DoneText,
    Finding,
    Limit,
    Machine,
    Part,
    Person,
    Reading,
    Service,
    ServiceRecord,
    Skill,
    Source,
)
from fleet.procedures.given_answers import GivenAnswer
from fleet.queries.covered_services import covered_on
from fleet.saying import joined
from scheduling.actions.keep_answers import name_findings, with_answers
from scheduling.actions.note_seen import note_seen
from scheduling.actions.sent_again import refuse_said_otherwise


@dataclass(frozen=True)
class JobReading:
    """What the mechanic typed for one meter, in stored units, and the answer to an odd one."""

    kind: str
    value: float
    answer: str = ""


class MeterRefused(ReadingRefused):
    """Validation asks about one of the job's readings; nothing of the job is written yet."""

    def __init__(self, kind: str, refused: ReadingRefused) -> None:
        super().__init__(refused.verdict, refused.new)
        self.kind = kind


@dataclass(frozen=True)
class DoneWork:
    """One piece of work that was done: a service, or the repair of a finding.

    minutes_before: worked on it on earlier days, before it was left under way.  left_out: what the
    service covers and was not done this time.  done_text: the steps as the sheet showed them.
    answers: name of a step's field -> what was answered at it.
    remark: what the book says of this work alone.
    """

    service: Service | None = None
    finding: Finding | None = None
    planned_minutes: int = 60
    measured: Sequence[MeasuredValue | tuple[Limit, float]] = ()
    minutes_before: int = 0
    left_out: Sequence[Service] = ()
    done_text: DoneText | None = None
    answers: Mapping[str, GivenAnswer] = field(default_factory=dict)
    remark: str = ""

    @property
    def skill(self) -> Skill | None:
        """The skill that the work asks for."""
        source = self.service or self.finding
        return source.skill if source else None


@dataclass(frozen=True)
class RepairGuess:
    """What a mechanic guesses of the work that a finding asks for."""

    minutes: int = 60
    second_minutes: int = 0
    several_days: bool = False


@dataclass(frozen=True)
class CheckedStep:
    """A check that was not good: what was looked at, and how bad it is.

    service, step: key of the service and of its step.
    """

    text: str
    gravity: str
    service: int | None = None
    step: str = ""


@dataclass(frozen=True)
class FinishedJob:
    """All that one visit brought.  form_key: made with the form; sent twice is done once.

    done_by: who did the work, if not who writes it down: a lent hand has no sign-in.  at: when it
    was done, of what was written down without a signal and comes in late; None: now.  checks: those
    that were not good, of all work.  beyond: values beyond their limits at work that does not go
    into the book with it.  stays: what stands under that work, field -> value: kept on its sheet.
    typed: all that stood on the sheet, in the same way, for whoever undoes it.
    """

    machine: Machine
    form_key: str
    done: Sequence[DoneWork] = ()
    readings: Sequence[JobReading] = ()
    minutes: int | None = None
    note: str = ""
    parts: Sequence[tuple[Part, float]] = field(default_factory=list)
    finding: str = ""
    gravity: str = Finding.Gravity.NOTE
    done_by: Person | None = None
    repair: RepairGuess = RepairGuess()
    checks: Sequence[CheckedStep] = ()
    at: datetime | None = None
    beyond: Sequence[MeasuredValue] = ()
    stays: Mapping[str, str] = field(default_factory=dict)
    typed: Mapping[str, str] = field(default_factory=dict)


@transaction.atomic
def finish_job(
    job: FinishedJob, *, by: Person, now: datetime, spend: bool = True
) -> list[ServiceRecord]:
    """Write a job into the facts, in this order: what fails undoes all of it.

    0. an inspection by somebody who does not hold its certificate that day is refused;
    1. readings, so that an odd one is asked about before anything else is written;
    2. book entries, each with the readings, the first with the parts;
    3. findings: repaired ones settled, and those that called for what was done; a new one noted;
    4. what was kept of the sheet is let go, unless the visit goes on (spend); what stands under
       work that is not done yet stays on a sheet of its own.
    """
    day = (job.at or now).astimezone(job.machine.yard.shop.zone).date()
    skills = [skill for work in job.done if (skill := work.skill)]
    refuse_unqualified(job.done_by or by, skills, day)
    readings = _read(job, by, now)
    shares = _shares(job)
    works = [_work(job, i, readings, shares, by, now) for i in range(len(job.done))]
    records = record_services(with_answers(job, works, by, now), by=by, now=now)
    note = job.note[:200] or "repaired"
    for record, answered in _answered(job, records, now):
        settle_findings(answered, note=note, by=by, now=job.at or now, during=record)
    found = note_seen(job, records, by, now)
    name_findings(job, records)
    refuse_said_otherwise(job, records, now)
    remember_job(job, found, records, readings, by=by, now=now)
    if spend and job.stays:
        carry_on(job.machine, job.form_key, job.stays, by=by, now=now)
    elif spend:
        spend_sheet(job.form_key, by=by, now=now)
    return records


def remember_job(
    job: FinishedJob,
    found: Sequence[Finding],
    records: Sequence[ServiceRecord] = (),
    readings: Sequence[Reading] = (),
    *,
    by: Person,
    now: datetime,
) -> None:
    """Keep the job as one act that can be undone; of a form sent twice, nothing is new."""
    fresh = [record for record in records if record.entered_at == now]
    measured = [finding for record in fresh for finding in record.just_found or ()]
    unsafe = {one.pk: one for one in [*found, *measured] if one.gravity == Finding.Gravity.UNSAFE}
    rows: dict[str, Iterable[Model] | SentSheet] = {
        "record": fresh,
        "finding": found,
        "hold": [hold for finding in unsafe.values() for hold in holds_of(finding)],
        "reading": [reading for reading in readings if reading.entered_at == now],
    }
    if job.typed:
        rows["sheet"] = SentSheet(job.form_key, job.typed)
    what = "job on" if records else "finding on" if found else "reading of"
    words = f"the {what} {job.machine.tag}"
    remember_act(Act.What.JOB, words, rows, by=by, now=now, machine=job.machine)


def _answered(
    job: FinishedJob, records: Sequence[ServiceRecord], now: datetime
) -> list[tuple[ServiceRecord, list[Finding]]]:
    """Return each entry with what it answers: the finding repaired, those that called for it."""
    repaired = [
        (record, [work.finding])
        for record, work in zip(records, job.done, strict=True)
        if work.service is None and work.finding
    ]
    seen = {"settled_at": None, "seen_at__lte": job.at or now}
    asked = job.machine.findings.filter(**seen, calls_for__isnull=False)
    waiting = list(asked) if any(work.service for work in job.done) else []
    if not waiting:
        return repaired
    covered = covered_on(job.machine.makeup_id)
    done = {
        service: record
        for record in reversed(records)
        if record.service_id
        for service in covered.done_with(job.machine.makeup_id, record.service_id)
        - record.services_left_out
    }
    called: dict[int, list[Finding]] = {}
    for finding in waiting:
        if record := done.get(finding.calls_for_id or 0):
            called.setdefault(record.pk, []).append(finding)
    by_key = {record.pk: record for record in records}
    return [*repaired, *((by_key[pk], findings) for pk, findings in called.items())]


def _read(job: FinishedJob, by: Person, now: datetime) -> list[Reading]:
    news = [
        NewReading(
            machine=job.machine,
            kind=typed.kind,
            value=typed.value,
            read_at=job.at or now,
            source=Source.BENCH,
            by=by,
            form_key=f"{job.form_key}-{typed.kind}"[:40],
        )
        for typed in job.readings
    ]
    try:
        return take_together(news, {typed.kind: typed.answer for typed in job.readings}, now)
    except ReadingRefused as refused:
        raise MeterRefused(refused.new.kind, refused) from refused


def _shares(job: FinishedJob) -> list[int | None]:
    """Split the minutes of the visit over its work, as they were planned."""
    if job.minutes is None:
        return [None] * len(job.done)
    planned = sum(work.planned_minutes for work in job.done) or 1
    return [round(job.minutes * work.planned_minutes / planned) for work in job.done]


def _work(
    job: FinishedJob,
    position: int,
    readings: Sequence[Reading],
    shares: Sequence[int | None],
    by: Person,
    now: datetime,
) -> WorkDone:
    done = job.done[position]
    note = job.note if done.finding is None else f"{done.finding.text}. {job.note}".strip()
    if done.left_out:
        note = f"{note} Not done with it: {joined([str(one) for one in done.left_out])}.".strip()
    note = f"{note} {done.remark}".strip()
    return WorkDone(
        machine=job.machine,
        service=done.service,
        done_at=job.at or now,
        done_by=job.done_by or by,
        minutes=(shares[position] or 0) + done.minutes_before or None,
        note=note,
        readings=readings,
        measured=done.measured,
        parts=job.parts if position == 0 else (),
        form_key=f"{job.form_key}-{position}",
        left_out=frozenset(one.pk for one in done.left_out),
        done_text=done.done_text,
    )
