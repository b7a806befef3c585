"""A hand-over as it is typed at the counter: what is not safe, the meters, the walk round.

A hand-over is one transaction, so that what follows from it is worked out once, from all of it.
Its steps stand each for itself all the same, since each is a fact whether or not the machine then
goes: a hold is hung even if a reading is odd, and a reading stays even if it shows that the machine
may not go.  So a refusal undoes its own step, and is raised when the steps before it are kept.  A
form that is sent again does each step once.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from fleet.actions.hand_over import WalkRound, check_in, note_with_hand_over
from fleet.actions.note_findings import NewFinding, holds_of, note_finding
from fleet.actions.read_at_hand_over import TypedReading, read_with_form
from fleet.actions.remember_acts import remember_act
from fleet.models import Act, Booking, Finding, HandOver, Machine, MeterKind, Reading, Source
from fleet.queries.judge_readings import NewReading, ReadingRefused
from scheduling.actions.book_and_check_out import Decision, check_out_unless_blocked, learn_first
from scheduling.actions.in_steps import in_steps


@dataclass(frozen=True)
class Handed:
    """What was typed: readings in stored units, points seen, what is not safe, if anything."""

    form_key: str
    readings: Sequence[TypedReading] = ()
    unread: Sequence[MeterKind] = ()
    seen: WalkRound = field(default_factory=WalkRound)
    unsafe: str = ""


def check_out_with_readings(
    booking: Booking, handed: Handed, decision: Decision
) -> HandOver | None:
    """Check a machine out; None if it is not safe: then it is held, and stays."""
    if handed.unsafe:
        hang_hold(booking.machine, handed.unsafe, handed.form_key, decision)
        return None
    learn_first(booking.machine, decision.now)
    with in_steps():
        seen = _look(booking.machine, handed, decision)
        row = check_out_unless_blocked(booking, seen, decision)
        _keep_with(row, handed, decision)
        return row


def check_in_with_readings(booking: Booking, handed: Handed, decision: Decision) -> HandOver:
    """Take a machine back; one that is not safe is held at once."""
    with in_steps():
        if handed.unsafe:
            _note_unsafe(booking.machine, handed.unsafe, handed.form_key, decision)
        seen = _look(booking.machine, handed, decision)
        row = check_in(booking, seen, by=decision.by, now=decision.now)
        _keep_with(row, handed, decision)
        return row


def _keep_with(row: HandOver, handed: Handed, decision: Decision) -> None:
    """Keep with the hand-over what its form noted before; the act, so that it can be undone."""
    if row.at != decision.now:
        return  # a form sent twice: the first kept it
    machine, out = row.booking.machine, row.direction == HandOver.Direction.OUT
    remember_act(
        Act.What.CHECK_OUT if out else Act.What.RETURN,
        f"the {row.get_direction_display()} of {machine.tag}",
        {"hand over": [row]},
        by=decision.by, now=decision.now, machine=machine,
    )  # fmt: skip
    keys = [f"{handed.form_key}-unsafe"] if handed.unsafe else []
    keys += [f"{handed.form_key}-unread-{kind}" for kind in handed.unread]
    if keys:
        note_with_hand_over(row, keys)


def hang_hold(machine: Machine, unsafe: str, form_key: str, decision: Decision) -> Finding:
    """Note what is not safe; that hangs a hold on the machine, which can be undone at once."""
    finding = _note_unsafe(machine, unsafe, form_key, decision)
    remember_act(
        Act.What.FINDING, f"the hold of {machine.tag}",
        {"finding": [finding], "hold": holds_of(finding)},
        by=decision.by, now=decision.now, machine=machine,
    )  # fmt: skip
    return finding


def _note_unsafe(machine: Machine, unsafe: str, form_key: str, decision: Decision) -> Finding:
    found = NewFinding(machine, unsafe, Finding.Gravity.UNSAFE, form_key=f"{form_key}-unsafe")
    return note_finding(found, by=decision.by, now=decision.now)


def _look(machine: Machine, handed: Handed, decision: Decision) -> WalkRound:
    """Take the readings, note the meters that cannot be read; return all that was seen."""
    readings = _read(machine, handed, decision)
    for kind in handed.unread:
        _note_unread(machine, kind, handed.form_key, decision)
    return WalkRound(handed.seen.points, handed.seen.note, readings)


def _read(machine: Machine, handed: Handed, decision: Decision) -> list[Reading]:
    news = [
        NewReading(
            machine=machine,
            kind=typed.kind,
            value=typed.value,
            read_at=decision.now,
            source=Source.COUNTER,
            by=decision.by,
            form_key=f"{handed.form_key}-{typed.kind}",
            old_last=typed.old_last,
            new_first=typed.new_first,
        )
        for typed in handed.readings
    ]
    answers = {typed.kind: typed.answer for typed in handed.readings}
    try:
        return read_with_form(news, answers, decision.now)
    except ReadingRefused as no:
        no.field = f"reading_{no.new.kind}"
        raise


def _note_unread(machine: Machine, kind: MeterKind, key: str, decision: Decision) -> None:
    text = f"The {kind.label.lower()} cannot be read"
    found = NewFinding(machine, text, Finding.Gravity.DEFECT, form_key=f"{key}-unread-{kind}")
    note_finding(found, by=decision.by, now=decision.now)
