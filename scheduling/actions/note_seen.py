"""What a visit has seen is noted once, however it ends and however often it is sent."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime
from hashlib import sha256
from typing import Any

from fleet.actions.note_findings import NewFinding, not_standing, note_findings, say_check
from fleet.actions.record_work import beyond_on
from fleet.models import Finding, Person, ServiceRecord


def note_seen(
    job: Any, records: Sequence[ServiceRecord], by: Person, now: datetime
) -> list[Finding]:
    """Note what was found beside the work, at its checks and by measuring; return what is new.

    job: a FinishedJob.  records: its entries in the book.  What the same sheet has brought before,
    or stands on the machine in the same words, is not noted again.
    """
    during = records[0] if records else None
    seen = [*_checks(job, during), *_beyond(job, during)]
    left = _not_brought([*_beside(job, during), *seen])
    same = {new.text for new in seen}
    standing = not_standing([new for new in left if new.text in same])
    return note_findings(
        [*(new for new in left if new.text not in same), *standing], by=by, now=now
    )


def _checks(job: Any, during: ServiceRecord | None) -> Iterable[NewFinding]:
    for one in job.checks:
        text = say_check(one.text, one.gravity)
        yield NewFinding(
            job.machine, text, one.gravity, during, form_key=_key(job, text), seen_at=job.at
        )


def _beyond(job: Any, during: ServiceRecord | None) -> Iterable[NewFinding]:
    for one in job.beyond:
        if new := beyond_on(job.machine, one, during=during, seen_at=job.at):
            yield replace(new, form_key=_key(job, new.text))


def _key(job: Any, text: str) -> str:
    """Return the key of a finding on a sheet by its words: the same in whatever order they come."""
    return f"{job.form_key[:32]}-c{sha256(text.encode()).hexdigest()[:6]}"


def _not_brought(news: Sequence[NewFinding]) -> list[NewFinding]:
    """Leave out what the same sheet brought before; what was struck since may come again."""
    keys = [new.form_key for new in news]
    rows = Finding.objects.filter(form_key__in=keys).values_list("form_key", "struck")
    brought = dict(rows) if keys else {}
    left = [new for new in news if not (new.form_key in brought and not brought[new.form_key])]
    return [replace(new, form_key=None) if new.form_key in brought else new for new in left]


def _beside(job: Any, during: ServiceRecord | None) -> list[NewFinding]:
    if not job.finding.strip():
        return []
    return [
        NewFinding(
            machine=job.machine,
            text=job.finding[:400],
            gravity=job.gravity,
            seen_during=during,
            form_key=f"{job.form_key}-f",
            minutes=job.repair.minutes,
            second_minutes=job.repair.second_minutes,
            several_days=job.repair.several_days,
            seen_at=job.at,
        )
    ]
