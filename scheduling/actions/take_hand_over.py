"""A hand-over as it is typed at the counter: what is not safe, the meters, the walk round.

A hand-over is one transaction, so that what follows from it is worked out once, from all of it.
Its steps stand each for itself all the same, since each is a fact whether or not the machine then
goes: a hold is hung even if a reading is odd, and a reading stays even if it shows that the machine
may not go.  So a refusal undoes its own step, and is raised when the steps before it are kept.  A
form that is sent again does each step once.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from django.db import transaction

from fleet.actions.decide_work import answer_for_safety, override_block
from fleet.actions.hand_over import WalkRound, check_in, note_with_hand_over
from fleet.actions.hold_machines import hold_for_new
from fleet.actions.keep_photos import Developed
from fleet.actions.keep_with_hand_over import NewCharge, add_charge, add_photos
from fleet.actions.make_bookings import (
    NewBooking,
    made_by_form,
    promise,
    refuse_clash,
    wished,
)
from fleet.actions.note_faults import note_faults
from fleet.actions.note_findings import NewFinding, note_finding
from fleet.actions.photograph_findings import photograph
from fleet.actions.read_at_hand_over import TypedReading, read_with_form
from fleet.actions.remember_acts import remember_act
from fleet.models import Act, Booking, Finding, HandOver, Hold, Machine, MeterKind, Reading, Source
from fleet.queries.judge_readings import NewReading, ReadingRefused
from fleet.queries.kept_extras import suggested
from fleet.queries.open_holds import holds_standing
from fleet.refusal import Refusal
from scheduling.actions.book_and_check_out import (
    Decision,
    check_out_unless_blocked,
    learn_first,
    let_out_in_turn,
    locked,
    takes_promised,
)
from scheduling.actions.in_steps import in_steps
from scheduling.availability.counter_facts import Days


@dataclass(frozen=True)
class KeptAlong:
    """Photos and charges of a hand-over; by_rule: with what the shop's own rule charges for it."""

    photos: Developed = field(default_factory=dict)
    photos_say: str = ""
    charges: Sequence[NewCharge] = ()
    by_rule: bool = False


@dataclass(frozen=True)
class Handed:
    """What was typed: readings in stored units, points seen, what is not safe, if anything.

    still_unsafe: findings for safety that were asked about and are not put right.
    """

    form_key: str
    readings: Sequence[TypedReading] = ()
    unread: Sequence[MeterKind] = ()
    seen: WalkRound = field(default_factory=WalkRound)
    unsafe: str = ""
    still_unsafe: Sequence[Finding] = ()
    along: KeptAlong = field(default_factory=KeptAlong)

    @property
    def stays(self) -> bool:
        """Whether the machine is not safe, and nobody said why it may go anyway."""
        wrong = bool(self.seen.unsafe or self.still_unsafe) and not self.seen.reason
        return wrong or bool(self.unsafe)


def check_out_with_readings(
    booking: Booking, handed: Handed, decision: Decision
) -> HandOver | None:
    """Check a machine out; None if it is not safe: then it is held, and stays."""
    if handed.stays:
        hold_at_once(booking.machine, handed, decision, HandOver.Direction.OUT)
        return None
    learn_first(booking.machine, decision.now)
    with in_steps():
        seen = _look(booking.machine, handed, decision)
        row = check_out_unless_blocked(booking, seen, decision)
        _keep_with(row, handed, decision)
        return row


def let_walk_in(new: NewBooking, handed: Handed, decision: Decision) -> HandOver | None:
    """Book a machine for somebody who stands at the counter, and check it out; both or neither.

    None if it is not safe: then it is held, and nothing is booked.  What its meters showed stays.
    """
    if handed.stays:
        hold_at_once(new.machine, handed, decision, HandOver.Direction.OUT)
        return None
    learn_first(new.machine, decision.now)
    with in_steps():
        seen = _look(new.machine, handed, decision)
        try:
            return _booked_and_out(new, replace(handed, seen=seen), decision)
        except Refusal:
            refuse_clash(wished(new, decision.now))  # says for whom it is booked, if that is why
            raise


@transaction.atomic
def _booked_and_out(new: NewBooking, handed: Handed, decision: Decision) -> HandOver:
    """Book and check out; whether it may go at all is asked once, at the check-out.

    Any refusal undoes all of it, so that its parts need no savepoints of their own.
    """
    machine = locked(new.machine.pk, asks=True)
    if made := made_by_form(new):
        return check_out_unless_blocked(made, handed.seen, decision)
    days = Days(new.first_day, new.last_day, now=decision.now, to_time=new.to_time)
    taken = takes_promised(machine, days, decision) if machine.promised else ""
    booking = promise(
        replace(new, machine=machine), by=decision.by, now=decision.now,
        remembered=False, whole=True,
    )  # fmt: skip
    if taken:
        override_block(
            booking, against=taken, reason=decision.reason, by=decision.by, now=decision.now
        )
    row = let_out_in_turn(machine, booking, handed.seen, decision, whole=True)
    _keep_with(row, handed, decision, booked=[booking])
    return row


def check_in_with_readings(booking: Booking, handed: Handed, decision: Decision) -> HandOver:
    """Take a machine back; one that is not safe is held at once."""
    with in_steps():
        noted = _note_points(booking.machine, handed, decision, HandOver.Direction.BACK)
        seen = replace(_look(booking.machine, handed, decision), noted=noted[0])
        row = check_in(booking, seen, by=decision.by, now=decision.now)
        row.just_hung = noted[1]
        if row.at == decision.now:
            _answer_for(row, seen, decision)
        _keep_with(row, handed, decision)
        return row


def _answer_for(row: HandOver, seen: WalkRound, decision: Decision) -> None:
    """Keep by whom and why a machine stays free although a point for safety is not in order."""
    if seen.unsafe and seen.reason:
        answer_for_safety(
            row.booking,
            against=f"walk-round at return, not in order: {'; '.join(seen.unsafe)}",
            reason=seen.reason,
            by=decision.by,
            now=decision.now,
        )


def _keep_with(
    row: HandOver, handed: Handed, decision: Decision, booked: Sequence[Booking] = ()
) -> None:
    """Keep with the hand-over what its form noted before; the act, so that it can be undone.

    booked: the booking that was made with it, and is undone with it.
    """
    if row.at != decision.now:
        return  # a form sent twice: the first kept it
    machine, out = row.booking.machine, row.direction == HandOver.Direction.OUT
    remember_act(
        Act.What.CHECK_OUT if out else Act.What.RETURN,
        f"the {row.get_direction_display()} of {machine.tag}",
        {
            "hand over": [row], "hold": row.just_hung, "settled": _settled_with(row, handed),
            "booking": booked,
        },
        by=decision.by, now=decision.now, machine=machine,
    )  # fmt: skip
    keys = [f"{handed.form_key}-unsafe"] if handed.unsafe else []
    keys += [f"{handed.form_key}-unread-{kind}" for kind in handed.unread]
    if keys:
        note_with_hand_over(row, keys)
    _keep_along(row, handed.along, decision)


def _keep_along(row: HandOver, along: KeptAlong, decision: Decision) -> None:
    """Keep photos and charges, those of the shop's own rule among them."""
    by, now = decision.by, decision.now
    if along.photos:
        add_photos(row, along.photos, says=along.photos_say, by=by, now=now)
    new = list(along.charges)
    if along.by_rule:
        new += [
            NewCharge(one.what, one.amount, f"rule-{row.pk}-{n}")
            for n, one in enumerate(suggested(row))
        ]
    for one in new:
        add_charge(row, one, by=by, now=now)


def _settled_with(row: HandOver, handed: Handed) -> list[Finding]:
    """Return the findings of which it was said at a check-out that they are put right."""
    if row.direction == HandOver.Direction.BACK or not handed.seen.put_right:
        return []
    return list(Finding.objects.filter(pk__in=handed.seen.put_right, settled_at=row.at))


def hold_at_once(
    machine: Machine, handed: Handed, decision: Decision, direction: str
) -> list[Hold]:
    """Note all that is not safe; that holds the machine, which can be undone at once.

    Photos of a check-out that does not come about stay with what was found: there is no hand-over
    to keep them.  Returns all that holds it by now.
    """
    with in_steps():
        noted, hung = _note_points(machine, handed, decision, direction)
        found = [hold.finding for hold in hung if hold.finding]
        if direction == HandOver.Direction.OUT and handed.along.photos:
            shown = [*noted, *handed.still_unsafe, *found]
            photograph(shown, handed.along.photos, by=decision.by, now=decision.now)
        remember_act(
            Act.What.FINDING, f"the hold of {machine.tag}",
            {"finding": [one for one in found if one.seen_at == decision.now], "hold": hung},
            by=decision.by, now=decision.now, machine=machine,
        )  # fmt: skip
    return holds_standing(machine)


def _note_points(
    machine: Machine, handed: Handed, decision: Decision, direction: str
) -> tuple[list[Finding], list[Hold]]:
    """Note what is not safe, and hang holds on it; return the points noted, and the holds hung."""
    if not handed.stays:
        return [], []
    said, by, now = HandOver.Direction(direction).label, decision.by, decision.now
    seen = handed.seen
    if direction == HandOver.Direction.OUT and handed.along.photos_say:
        note = "; ".join(filter(None, [seen.note, f"photo: {handed.along.photos_say}"]))
        seen = replace(seen, note=note)  # no hand-over keeps what its photos show
    points = note_faults(machine, seen, said, by=by, now=now)
    hung = [hold for one in points for hold in one.just_hung or ()]
    hung += [hold_for_new(one, by=by, now=now) for one in handed.still_unsafe]
    if handed.unsafe:
        other = _note_unsafe(machine, handed.unsafe, handed.form_key, decision)
        hung += other.just_hung or ()
    return points, hung


def _note_unsafe(machine: Machine, unsafe: str, form_key: str, decision: Decision) -> Finding:
    found = NewFinding(machine, unsafe, Finding.Gravity.UNSAFE, form_key=f"{form_key}-unsafe")
    return note_finding(found, by=decision.by, now=decision.now)


def _look(machine: Machine, handed: Handed, decision: Decision) -> WalkRound:
    """Take the readings, note the meters that cannot be read; return all that was seen."""
    readings = _read(machine, handed, decision)
    for kind in handed.unread:
        _note_unread(machine, kind, handed.form_key, decision)
    return replace(handed.seen, readings=readings, form_key=handed.form_key)


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
