"""A sheet that is in the book already and is sent again: whether it says anything else now."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from fleet.actions.record_work import MeasuredValue
from fleet.models import Finding, Limit, Measurement, ServiceRecord, StepAnswer
from fleet.refusal import Refusal
from fleet.saying import joined


def refuse_said_otherwise(job: Any, records: Sequence[ServiceRecord], now: datetime) -> None:
    """Refuse a second press that brings what the first did not; all that it wrote is undone.

    job: a FinishedJob.  records: what the book holds of the sheet.  Minutes are not asked about:
    the book holds them shared out and with those of earlier days.
    """
    if not records or any(record.entered_at == now for record in records):
        return
    others = [
        name
        for name, differs in (
            ("a note", _note_differs(job, records)),
            ("a finding", _finding_differs(job)),
            ("a measure", _measure_differs(job, records)),
            ("an answer", _answer_differs(job, records)),
        )
        if differs
    ]
    if not others:
        return
    since = records[0].entered_at.astimezone(job.machine.yard.shop.zone)
    raise Refusal(
        f"This sheet has been in the book since {since:%H:%M}, with {joined(others)} other"
        " than here. Nothing was changed: correct the entry in the machine's book."
    )


def _note_differs(job: Any, records: Sequence[ServiceRecord]) -> bool:
    if job.at:  # what others did meanwhile was added to the note of a late sheet, and may be more
        return False
    return bool(job.note) and not any(job.note in record.note for record in records)


def _finding_differs(job: Any) -> bool:
    text = job.finding.strip()[:400]
    return (
        bool(text)
        and not Finding.objects.filter(
            machine=job.machine, form_key=f"{job.form_key}-f", text__startswith=text
        ).exists()
    )


def _measure_differs(job: Any, records: Sequence[ServiceRecord]) -> bool:
    kept = set(
        Measurement.objects.filter(record__in=records).values_list("limit", "place", "value")
    )
    typed = {_as_kept(one) for work in job.done for one in work.measured}
    return not typed <= kept


def _answer_differs(job: Any, records: Sequence[ServiceRecord]) -> bool:
    rows = StepAnswer.objects.filter(record__in=records)
    kept = set(rows.values_list("record__service", "step", "answer"))
    typed = {
        (work.service and work.service.pk, one.step, str(one.answer))
        for work in job.done
        for one in work.answers.values()
    }
    return not typed <= kept


def _as_kept(one: MeasuredValue | tuple[Limit, float]) -> tuple[int, str, float]:
    if isinstance(one, MeasuredValue):
        return one.limit.pk, one.place, one.value
    limit, value = one
    return limit.pk, "", value
