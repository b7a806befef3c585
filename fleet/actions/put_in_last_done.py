"""What was done last, typed in for many machines in one sweep: the past comes into the book."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.actions.decide_work import lift_served
from fleet.actions.fit_meters import lock_machines
from fleet.actions.keep_changes import ChangedValue, keep_change
from fleet.changed_facts import tell
from fleet.models import (
    LastDoneAnswer,
    Machine,
    Meter,
    Person,
    RecordedMeter,
    Service,
    ServiceRecord,
)

NOTE = "put in as the last one done"


@dataclass(frozen=True)
class LastService:
    """A service as it was last done; value: what the meter showed then, hours, metres or cycles.

    form_key: made with the form, so that a form sent twice is one entry.
    """

    machine: Machine
    service: Service
    done_at: datetime
    meter: Meter | None = None
    value: float | None = None
    form_key: str | None = None


@dataclass(frozen=True)
class Said:
    """What was said of a service instead of a day."""

    machine: Machine
    service: Service
    answer: str


@dataclass(frozen=True)
class PutIn:
    """How many entries and answers are new."""

    services: int
    answers: int


@transaction.atomic
def put_in_last_done(
    services: Sequence[LastService], said: Sequence[Said], *, by: Person | None, now: datetime
) -> PutIn:
    """Write services of the past into the book, and what was said where no day is known.

    What was sent before, and an answer that stands already, adds nothing.
    """
    machines = {one.machine.pk for one in services} | {one.machine.pk for one in said}
    lock_machines(sorted(machines))
    fresh = _fresh(services)
    records = ServiceRecord.objects.bulk_create(
        [
            ServiceRecord(
                machine=one.machine, service=one.service, done_at=one.done_at, note=NOTE,
                entered_by=by, entered_at=now, form_key=one.form_key,
            )
            for one in fresh
        ]
    )  # fmt: skip
    RecordedMeter.objects.bulk_create(
        RecordedMeter(record=record, meter=one.meter, value=one.value)
        for record, one in zip(records, fresh, strict=True)
        if one.meter is not None and one.value is not None
    )
    lift_served(records, by=by, now=now)
    answers = _answer(said, machines, by, now)
    if records or answers:
        tell(machines)
    return PutIn(len(records), answers)


def _fresh(services: Sequence[LastService]) -> list[LastService]:
    """Return what is not in the book yet: neither of this form, nor of that very moment."""
    keys = {one.form_key for one in services if one.form_key}
    made = set(ServiceRecord.objects.filter(form_key__in=keys).values_list("form_key", flat=True))
    same = set(
        ServiceRecord.objects.filter(
            machine__in={one.machine.pk for one in services},
            done_at__in={one.done_at for one in services},
            corrected_by=None,
            void=False,
        ).values_list("machine_id", "service_id", "done_at")
    )
    return [
        one
        for one in services
        if one.form_key not in made and (one.machine.pk, one.service.pk, one.done_at) not in same
    ]


def _answer(
    said: Sequence[Said], machines: Collection[int], by: Person | None, now: datetime
) -> int:
    """Keep answers that are new; one that takes the place of another goes into the change log."""
    rows = LastDoneAnswer.objects.filter(machine__in=machines).order_by("said_at", "pk")
    stands = {(row.machine_id, row.service_id): row for row in rows}
    fresh = [
        one
        for one in said
        if getattr(stands.get((one.machine.pk, one.service.pk)), "answer", "") != one.answer
    ]
    made = LastDoneAnswer.objects.bulk_create(
        LastDoneAnswer(
            machine=one.machine, service=one.service, answer=one.answer, said_at=now, said_by=by
        )
        for one in fresh
    )
    for row in made:
        if old := stands.get((row.machine_id, row.service_id)):
            value = ChangedValue(
                f"last {row.service}", old.get_answer_display(), row.get_answer_display()
            )
            keep_change(row, "answered again", [value], by=by, now=now)
    return len(made)
