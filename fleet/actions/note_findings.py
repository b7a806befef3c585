"""Findings are noted and settled here; one that is not safe hangs a hold on its machine."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.db.models import Exists, OuterRef, Q

from fleet.actions.hold_machines import hold_for_new
from fleet.changed_facts import tell
from fleet.models import Finding, Hold, Machine, Person, Service, ServiceRecord, Skill
from fleet.refusal import Refusal

CHECKED: dict[str, str] = {
    Finding.Gravity.DEFECT: "needs attention",
    Finding.Gravity.UNSAFE: "not safe",
}
"""What a check that is not good is called in its finding."""


def say_check(text: str, gravity: str) -> str:
    """Return the words of the finding that a check becomes; text: of its step."""
    return f"{text.rstrip('.')}: {CHECKED[gravity]}"[:400]


@dataclass(frozen=True)
class NewFinding:
    """What was seen on a machine.  seen_at: when, if it comes in late; None: now."""

    machine: Machine
    text: str
    gravity: str = Finding.Gravity.NOTE
    seen_during: ServiceRecord | None = None
    calls_for: Service | None = None
    minutes: int = 60
    skill: Skill | None = None
    form_key: str | None = None
    second_minutes: int = 0
    second_skill: Skill | None = None
    several_days: bool = False
    seen_at: datetime | None = None


def note_finding(new: NewFinding, *, by: Person | None, now: datetime) -> Finding:
    """Write a finding down; one that is not safe hangs a hold on the machine at once."""
    if new.form_key and (made := Finding.objects.filter(form_key=new.form_key).first()):
        return made
    _new_finding(new, by, now)  # refused before the transaction, so that a caller's own goes on
    (finding,) = note_findings([new], by=by, now=now)
    return finding


@transaction.atomic(savepoint=False)
def note_findings(news: Sequence[NewFinding], *, by: Person | None, now: datetime) -> list[Finding]:
    """Write down what was found together, none of it noted before; as few queries as for one."""
    findings = [_new_finding(new, by, now) for new in news]
    Finding.objects.bulk_create(findings)
    for finding in findings:
        if finding.gravity == Finding.Gravity.UNSAFE and by is not None:
            finding.just_hung = [hold_for_new(finding, by=by, now=now)]
    if findings:
        tell({finding.machine_id for finding in findings})
    return findings


def not_standing(news: Sequence[NewFinding]) -> list[NewFinding]:
    """Leave out what stands on its machine already in the same words: one query, none of nothing.

    It stands while it is neither settled nor struck, is as bad, and is held if it is not safe:
    what was let go is noted anew when it is found again.
    """
    if not news:
        return []
    held = Hold.objects.filter(finding=OuterRef("pk"), released_at=None)
    rows = Finding.objects.filter(
        ~Q(gravity=Finding.Gravity.UNSAFE) | Exists(held),
        machine__in={new.machine.pk for new in news},
        text__in={new.text.strip() for new in news},
        settled_at=None,
        struck=False,
    )
    known = set(rows.values_list("machine", "text", "gravity"))
    fresh = []
    for new in news:
        said = (new.machine.pk, new.text.strip(), str(new.gravity))
        if said not in known:
            fresh.append(new)
            known.add(said)
    return fresh


def _new_finding(new: NewFinding, by: Person | None, now: datetime) -> Finding:
    if not new.text.strip():
        raise Refusal("Say in a few words what you saw.", "text")
    if new.second_minutes > new.minutes:
        raise Refusal("Help cannot take longer than the work itself.", "second_minutes")
    return Finding(
        machine=new.machine,
        seen_at=new.seen_at or now,
        seen_by=by,
        text=new.text.strip(),
        gravity=new.gravity,
        seen_during=new.seen_during,
        calls_for=new.calls_for,
        minutes=new.minutes,
        skill=new.skill,
        form_key=new.form_key,
        second_minutes=new.second_minutes,
        second_skill=new.second_skill,
        several_days=new.several_days,
    )


@transaction.atomic(savepoint=False)
def settle_findings(
    findings: Sequence[Finding],
    *,
    note: str,
    by: Person | None,
    now: datetime,
    during: ServiceRecord | None = None,
) -> None:
    """Say of findings that they have been seen to, with one query; the first to say so stands.

    during: the entry in the book that settled them.
    """
    keys = [finding.pk for finding in findings]
    changed = Finding.objects.filter(pk__in=keys, settled_at=None).update(
        settled_at=now, settled_by=by, settled_note=note, settled_during=during
    )
    if changed:
        tell({finding.machine_id for finding in findings})


def holds_of(finding: Finding) -> list[Hold]:
    """Return the open holds that hang on a finding; of one that was just made they are known."""
    if finding.just_hung is not None:
        return finding.just_hung
    return list(Hold.objects.filter(finding=finding, released_at=None))
