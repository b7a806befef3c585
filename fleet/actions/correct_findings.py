"""Findings put right: corrected, struck ("it was not so"), settled ones opened again."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.actions.hold_machines import NewHold, place_hold
from fleet.actions.keep_changes import differences, keep_change
from fleet.changed_facts import tell
from fleet.logged_words import values_of
from fleet.models import Finding, Hold, Person, ServiceRecord, Skill
from fleet.refusal import Refusal

FIELDS = ("text", "gravity", "minutes", "skill")
"""Fields of a finding that can be corrected."""


@dataclass(frozen=True)
class FindingCorrection:
    """What the finding should have said; minutes: a guess at the work."""

    text: str
    gravity: str
    minutes: int
    skill: Skill | None = None


@transaction.atomic
def correct_finding(
    finding: Finding, right: FindingCorrection, *, why: str, by: Person, now: datetime
) -> Finding:
    """Put a finding right; what it said before is kept in the change log.

    One that turns out not to be safe hangs a hold on the machine, as a new one does.
    """
    if not right.text.strip():
        raise Refusal("Say in a few words what was seen.", "text")
    finding = Finding.objects.select_for_update(no_key=True).get(pk=finding.pk)
    _refuse_struck(finding)
    before = values_of(finding, FIELDS)
    finding.text, finding.gravity = right.text.strip(), right.gravity
    finding.minutes, finding.skill = right.minutes, right.skill
    changed = differences(before, values_of(finding, FIELDS))
    if not changed:
        return finding
    finding.save(update_fields=FIELDS)
    keep_change(finding, "corrected", changed, by=by, now=now, reason=why)
    if finding.gravity == Finding.Gravity.UNSAFE and finding.settled_at is None:
        new = NewHold(finding.machine, finding.text, finding=finding)
        place_hold(new, by=by, now=now)
    tell({finding.machine_id})
    return finding


@transaction.atomic
def strike_finding(finding: Finding, *, why: str, by: Person | None, now: datetime) -> list[Hold]:
    """Say that a finding was not so; return the holds that hang on it, which stay until released.

    Struck twice is struck once.
    """
    if not why.strip():
        raise Refusal("Say why the finding is struck.", "why")
    strike_findings([finding], why=why, by=by, now=now)
    return list(Hold.objects.filter(finding=finding, released_at=None))


def strike_findings(
    findings: Iterable[Finding], *, why: str, by: Person | None, now: datetime
) -> list[Finding]:
    """Strike findings inside the caller's transaction; return those that were not struck before.

    A struck one counts as settled from now on, so that nothing asks for its work.
    """
    struck = [finding for finding in findings if not finding.struck]
    note = why.strip()[:200]
    Finding.objects.filter(pk__in=[one.pk for one in struck]).update(
        struck=True, settled_at=now, settled_by=by, settled_note=note
    )
    for finding in struck:
        keep_change(finding, "struck", by=by, now=now, reason=why)
    if struck:
        tell({finding.machine_id for finding in struck})
    return struck


@transaction.atomic
def unsettle_finding(finding: Finding, *, why: str, by: Person, now: datetime) -> Finding:
    """Open a settled or struck finding again: it needs work after all."""
    if not why.strip():
        raise Refusal("Say why the finding is opened again.", "why")
    finding = Finding.objects.select_for_update(no_key=True).get(pk=finding.pk)
    unsettle_findings([finding], why=why, by=by, now=now)
    finding.refresh_from_db()
    return finding


def unsettle_findings(
    findings: Sequence[Finding], *, why: str, by: Person | None, now: datetime
) -> None:
    """Open findings again inside the caller's transaction; one that is open stays as it is."""
    shut = [finding for finding in findings if finding.settled_at is not None]
    for finding in shut:
        before = values_of(finding, ("settled_at", "settled_note"))
        keep_change(finding, "opened again", differences(before, {}), by=by, now=now, reason=why)
    Finding.objects.filter(pk__in=[one.pk for one in shut]).update(
        struck=False, settled_at=None, settled_by=None, settled_note="", settled_during=None
    )
    if shut:
        tell({finding.machine_id for finding in shut})


def _refuse_struck(finding: Finding) -> None:
    if finding.struck:
        raise Refusal("This finding was struck; open it again first.")


def held_by(record: ServiceRecord) -> list[Hold]:
    """Return the open holds that hang on struck findings of an entry in the book."""
    return list(
        Hold.objects.filter(finding__seen_during=record, finding__struck=True, released_at=None)
    )
