"""Holds are placed, changed and released: a person's order that a machine stays."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import Q

from fleet.actions.keep_changes import differences, keep_change
from fleet.actions.remember_acts import remember_act
from fleet.changed_facts import tell
from fleet.logged_words import values_of
from fleet.models import Act, Finding, Hold, Machine, Person
from fleet.queries.open_holds import one_hold
from fleet.refusal import Refusal

LATE = timedelta(days=6)
"""A hold that waited for a signal is of the moment of its press, up to so long ago: letters tell
of the holds of a week."""
LOOK_MINUTES = 30
"""What a look at a held machine takes, for the plan (our judgement)."""


@dataclass(frozen=True)
class NewHold:
    """An order that a machine stays.

    condition: what must be true for its release.  owner: who decides over it; else who places it.
    safety: it is not safe to use, though no finding says so.  look: the shop is to look at it,
    which is work to be planned, though nothing was found.
    """

    machine: Machine
    reason: str
    condition: str = ""
    owner: Person | None = None
    safety: bool = False
    finding: Finding | None = None
    look: bool = False


def place_hold(new: NewHold, *, by: Person, now: datetime, at: datetime | None = None) -> Hold:
    """Order that a machine stays; the same reason, or the same finding, twice is one hold.

    at: when it was ordered, if that comes in late; None: now.
    """
    if not new.reason.strip():
        raise Refusal("Say why the machine must stay.", "reason")
    with transaction.atomic(savepoint=False):
        standing = Hold.objects.filter(machine=new.machine, released_at=None)
        if new.finding is None:
            bare = Q(finding=None) | Q(look=True)
            standing = standing.filter(bare, reason=new.reason.strip())
        else:
            standing = standing.filter(finding=new.finding)
        hold = standing.first()
        if hold is None:
            hold = _hung(new, by, _since(at or now, now))
            words = f"the hold of {new.machine.tag}"
            remember_act(
                Act.What.HOLD, words, {"hold": [hold]}, by=by, now=now, machine=new.machine
            )
        return hold


def hold_for_new(finding: Finding, *, by: Person, now: datetime) -> Hold:
    """Hang a hold on a finding that none hangs on, as one that was made a moment ago.

    What was seen without a signal and comes in late holds the machine from when it was seen.
    """
    new = NewHold(finding.machine, finding.text, safety=finding.safety, finding=finding)
    return _hung(new, by, _since(finding.seen_at, now))


def _since(at: datetime, now: datetime) -> datetime:
    """Return since when a machine is held; never so long ago that nobody would be told any more."""
    return min(max(at, now - LATE), now)


def _hung(new: NewHold, by: Person, now: datetime) -> Hold:
    look = new.look and new.finding is None
    hold = Hold.objects.create(
        machine=new.machine,
        placed_at=now,
        placed_by=by,
        reason=new.reason.strip()[:300],
        owner=new.owner or by,
        condition=new.condition.strip(),
        safety=new.safety,
        finding=_to_look_at(new, by, now) if look else new.finding,
        look=look,
    )
    tell({new.machine.pk})
    return hold


def _to_look_at(new: NewHold, by: Person, now: datetime) -> Finding:
    """Note that the shop is to look at a machine: work like what was found, and planned as such."""
    return Finding.objects.create(
        machine=new.machine, seen_at=now, seen_by=by, text=_look_words(new.reason),
        gravity=Finding.Gravity.DEFECT, minutes=LOOK_MINUTES,
    )  # fmt: skip


def _look_words(reason: str) -> str:
    return f"Look at it: {reason.strip()}"[:400]


@dataclass(frozen=True)
class HoldWords:
    """What may be changed of a hold that hangs."""

    reason: str
    condition: str
    owner: Person


@transaction.atomic
def change_hold(hold: Hold, words: HoldWords, *, by: Person, now: datetime) -> Hold:
    """Say better why a machine stays, what must be true for its release, or who decides."""
    rows = Hold.objects.select_for_update(of=("self",), no_key=True)
    hold = rows.select_related("machine", "owner", "placed_by").get(pk=hold.pk)
    if not words.reason.strip():
        raise Refusal("Say why the machine must stay.", "reason")
    if hold.released_at is not None:
        raise Refusal("It is released already, so there is nothing left to change.")
    if not (by.manages or by in (hold.decided_by, hold.placed_by)):
        raise Refusal(f"{hold.decided_by} decides over this hold; ask them, or a manager.")
    fields = list(HoldWords.__dataclass_fields__)
    before = values_of(hold, fields)
    hold.reason, hold.condition = words.reason.strip(), words.condition.strip()
    hold.owner = words.owner
    changed = differences(before, values_of(hold, fields))
    if changed:
        hold.save(update_fields=fields)
        if hold.look:
            looks = Finding.objects.filter(hold=hold, settled_at=None)
            looks.update(text=_look_words(hold.reason))
        keep_change(hold, "changed", changed, by=by, now=now)
        tell({hold.machine_id})
    return hold


@transaction.atomic
def release_hold(hold: Hold, *, note: str, by: Person, now: datetime) -> Hold:
    """Let a held machine go again, with a word on what was put right; the first to do so stands."""
    seen = one_hold(by, hold.pk, now)
    if seen.hold.released_at is not None:
        return seen.hold
    if seen.why_not:
        raise Refusal(seen.why_not)
    if not note.strip():
        raise Refusal("Say what was put right before the machine is released.", "note")
    changed = Hold.objects.filter(pk=hold.pk, released_at=None).update(
        released_at=now, released_by=by, released_note=note.strip()
    )
    if changed:
        keep_change(seen.hold, "released", by=by, now=now, reason=note)
        if seen.hold.look:
            _looked_at(seen.hold, note, by, now)
        tell({hold.machine_id})
    hold.refresh_from_db()
    return hold


def _looked_at(hold: Hold, note: str, by: Person, now: datetime) -> None:
    """Take the look off the shop's work: whoever releases the machine has looked."""
    looks = Finding.objects.filter(hold=hold, settled_at=None)
    if looks.update(settled_at=now, settled_by=by, settled_note=note.strip()[:200]):
        finding = Finding.objects.get(hold=hold)
        keep_change(finding, "settled", by=by, now=now, reason=note)
