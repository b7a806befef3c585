"""What was answered at the steps of a sheet goes into the book with the work."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from fleet.actions.note_findings import say_check
from fleet.actions.record_work import WorkDone
from fleet.models import Finding, Person, ServiceRecord, SheetEntry, StepAnswer
from fleet.procedures.given_answers import GivenAnswer


def with_answers(job: Any, works: Sequence[WorkDone], by: Person, now: datetime) -> list[WorkDone]:
    """Return works with the answers at their steps, each given when it was ticked on the sheet.

    job: a FinishedJob.  By whom: who did the work, if not who writes it down.
    """
    at = job.at or now
    if not any(done.answers for done in job.done):
        return list(works)
    typed = SheetEntry.objects.filter(by=by, sheet=job.form_key, field__startswith="step_")
    rows = typed.exclude(value="").values_list("field", "typed_at")
    when = dict(rows)

    def given(name: str, answer: GivenAnswer) -> GivenAnswer:
        return replace(answer, by=job.done_by or by, at=min(when.get(name, at), at))

    return [
        replace(work, answers=[given(name, one) for name, one in done.answers.items()])
        for work, done in zip(works, job.done, strict=True)
    ]


def name_findings(job: Any, records: Sequence[ServiceRecord]) -> None:
    """Let the answer of each check that was not good name the finding that it became.

    That may have been noted before, when the work was left under way.
    """
    texts = {say_check(one.text, one.gravity): one for one in job.checks}
    if not (texts and records):
        return
    rows = Finding.objects.filter(machine=job.machine, text__in=texts, struck=False)
    for finding in rows.filter(settled_at=None).order_by("pk"):
        check = texts[finding.text]
        answers = StepAnswer.objects.filter(record__in=records, record__service=check.service)
        answers.filter(step=check.step, finding=None).update(finding=finding)
