"""A mechanic lays down the tools before the work is done: how far it came is written down."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.actions.keep_changes import keep_change
from fleet.actions.remember_acts import remember_act
from fleet.changed_facts import tell
from fleet.models import Act, Machine, Person, Progress
from fleet.refusal import Refusal

LONGEST_DAY = 1440
"""Minutes of a day."""

LONGEST_LEFT = 30_000
"""Minutes left of one piece of work beyond which it is a slip of the finger (500 h)."""


@dataclass(frozen=True)
class LaidDown:
    """Work that is not finished.

    note: what lies open; form_key: a form sent twice counts once; at: when, if it comes in late.
    """

    machine: Machine
    work_key: str
    done_by: Person
    minutes: int
    minutes_left: int
    note: str = ""
    form_key: str | None = None
    at: datetime | None = None


@transaction.atomic
def lay_down(laid: LaidDown, *, by: Person | None, now: datetime) -> Progress:
    """Write down how far work came; the plan keeps the rest for who has it in hand."""
    if laid.form_key and (made := Progress.every.filter(form_key=laid.form_key).first()):
        return made
    if not 0 < laid.minutes <= LONGEST_DAY:
        raise Refusal("Say how many minutes you worked on it, from 1 to 1,440.", "minutes")
    if not 0 < laid.minutes_left <= LONGEST_LEFT:
        raise Refusal(
            "Say how many minutes are left; if nothing is left, finish it instead.", "minutes_left"
        )
    row = Progress.objects.create(
        machine=laid.machine,
        work_key=laid.work_key,
        done_by=laid.done_by,
        at=laid.at or now,
        minutes=laid.minutes,
        minutes_left=laid.minutes_left,
        note=laid.note.strip()[:300],
        by=by,
        form_key=laid.form_key,
    )
    tell({laid.machine.pk})
    return row


@transaction.atomic
def lay_down_all(
    machine: Machine, pieces: Iterable[LaidDown], *, by: Person, now: datetime
) -> list[Progress]:
    """Write down how far several pieces of a machine's work came: all of them, or none."""
    rows = [lay_down(piece, by=by, now=now) for piece in pieces]
    words = f"the work of {machine.tag} left under way"
    remember_act(Act.What.LEFT, words, {"progress": rows}, by=by, now=now, machine=machine)
    return rows


@transaction.atomic
def take_back_progress(row: Progress, *, why: str, by: Person, now: datetime) -> None:
    """Let work stand as it did before somebody said how far it had come; once."""
    if Progress.objects.filter(pk=row.pk).update(struck_at=now, struck_by=by):
        keep_change(row, "taken back", by=by, now=now, reason=why)
        tell({row.machine_id})
