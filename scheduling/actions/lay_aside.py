"""A visit that is not finished: left under way or put off, and nothing on its sheet is lost."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from fleet.actions.decide_work import put_off_all
from fleet.actions.keep_sheet_entries import carry_on
from fleet.actions.lay_down_work import LaidDown, lay_down_all
from fleet.models import Finding, Person
from scheduling.actions.finish_job import FinishedJob, finish_job, remember_job
from scheduling.actions.note_seen import note_seen


@transaction.atomic
def leave_job(
    seen: FinishedJob,
    pieces: Sequence[LaidDown],
    typed: Mapping[str, str],
    *,
    by: Person,
    now: datetime,
) -> None:
    """Leave work under way.  seen: what was read and found; typed: what stays on the sheet."""
    _write_seen(seen, by, now)
    lay_down_all(seen.machine, pieces, by=by, now=now)
    carry_on(seen.machine, seen.form_key, typed, by=by, now=now)


@dataclass(frozen=True)
class PutOffWork:
    """Work that is put off: its keys, the day that it leaves, and why."""

    keys: Sequence[str]
    day: date
    reason: str


@transaction.atomic
def put_job_off(
    seen: FinishedJob, work: PutOffWork, typed: Mapping[str, str], *, by: Person, now: datetime
) -> None:
    """Put work off from a day.  seen, typed: as above."""
    _write_seen(seen, by, now)
    put_off_all(seen.machine, work.keys, work.day, reason=work.reason, by=by, now=now)
    carry_on(seen.machine, seen.form_key, typed, by=by, now=now)


def _write_seen(seen: FinishedJob, by: Person, now: datetime) -> None:
    """Write what was read and found, if anything was."""
    if seen.readings or seen.finding.strip() or seen.checks or seen.beyond:
        finish_job(seen, by=by, now=now, spend=False)


@transaction.atomic
def note_at_once(seen: FinishedJob, *, by: Person, now: datetime) -> list[Finding]:
    """Note what a sheet has seen that is sent back for something else; return what is new.

    What stops a machine stops it now, not once the meter is typed in too.
    """
    found = note_seen(seen, (), by, now)
    remember_job(seen, found, by=by, now=now)
    return found
