"""Findings are noted and settled here; holds are placed and released."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.changed_facts import tell
from fleet.models import Finding, Hold, Machine, Person, Service, ServiceRecord, Skill
from fleet.refusal import Refusal


@dataclass(frozen=True)
class NewFinding:
    """What was seen on a machine."""

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


@transaction.atomic
def note_finding(new: NewFinding, *, by: Person | None, now: datetime) -> Finding:
    """Write a finding down; one that is not safe hangs a hold on the machine at once."""
    if new.form_key and (made := Finding.objects.filter(form_key=new.form_key).first()):
        return made
    if not new.text.strip():
        raise Refusal("Say in a few words what you saw.", "text")
    if new.second_minutes > new.minutes:
        raise Refusal("Help cannot take longer than the work itself.", "second_minutes")
    finding = Finding.objects.create(
        machine=new.machine,
        seen_at=now,
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
    if new.gravity == Finding.Gravity.UNSAFE and by is not None:
        place_hold(new.machine, finding.text, by=by, now=now, finding=finding)
    tell({new.machine.pk})
    return finding


@transaction.atomic
def settle_finding(finding: Finding, *, note: str, by: Person | None, now: datetime) -> Finding:
    """Say that a finding has been seen to; the first to say so stands."""
    changed = Finding.objects.filter(pk=finding.pk, settled_at=None).update(
        settled_at=now, settled_by=by, settled_note=note
    )
    if changed:
        tell({finding.machine_id})
    finding.refresh_from_db()
    return finding


@transaction.atomic
def place_hold(
    machine: Machine, reason: str, *, by: Person, now: datetime, finding: Finding | None = None
) -> Hold:
    """Order that a machine stays; the same reason twice is one hold."""
    if not reason.strip():
        raise Refusal("Say why the machine must stay.", "reason")
    standing = Hold.objects.filter(machine=machine, released_at=None, reason=reason.strip())
    if hold := standing.first():
        return hold
    hold = Hold.objects.create(
        machine=machine, placed_at=now, placed_by=by, reason=reason.strip(), finding=finding
    )
    tell({machine.pk})
    return hold


@transaction.atomic
def release_hold(hold: Hold, *, note: str, by: Person, now: datetime) -> Hold:
    """Let a held machine go again, with a word on what was put right."""
    if not note.strip():
        raise Refusal("Say what was put right before the machine is released.", "note")
    changed = Hold.objects.filter(pk=hold.pk, released_at=None).update(
        released_at=now, released_by=by, released_note=note.strip()
    )
    if changed:
        tell({hold.machine_id})
    hold.refresh_from_db()
    return hold
