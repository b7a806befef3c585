"""Machines going out and coming back, with reading and walk-round."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.db import transaction

from fleet.actions.keep_times import save_booking
from fleet.actions.note_faults import belong_to, note_faults
from fleet.actions.particulars import Particulars
from fleet.changed_facts import tell
from fleet.models import Booking, BookingChange, Finding, HandOver, Machine, Person, Reading
from fleet.refusal import Refusal
from fleet.walk_round_library import general_points

WALK_ROUND = tuple(point.words for point in general_points())
"""Points looked at on going out and coming back where a class has none of its own."""


@dataclass(frozen=True)
class WalkRound:
    """What was seen at a hand-over: point -> in order, a note, readings taken with it.

    safety: the points that are for safety.  reason: why it may go although one of them is not in
    order; without one the machine is held.  put_right: keys of findings that are put right by now.
    noted: what was noted of its points already.  more: fuel, what goes along, who took it.
    form_key: of the form on which all that was typed.
    """

    points: dict[str, bool] = field(default_factory=dict)
    note: str = ""
    readings: Sequence[Reading] = ()
    safety: frozenset[str] = frozenset()
    reason: str = ""
    put_right: frozenset[int] = frozenset()
    noted: Sequence[Finding] = ()
    more: Particulars = field(default_factory=Particulars)
    form_key: str = ""

    @property
    def wrong(self) -> list[str]:
        """The points that are not in order."""
        return [point for point, in_order in self.points.items() if not in_order]

    @property
    def unsafe(self) -> list[str]:
        """Those of them that are for safety."""
        return [point for point in self.wrong if point in self.safety]


def _hand_over(
    booking: Booking,
    direction: str,
    seen: WalkRound,
    *,
    by: Person | None,
    now: datetime,
    first: bool = False,
) -> tuple[HandOver, bool]:
    """Write the hand-over once; a second press, in its own turn at the machine, finds the first.

    first: the caller has looked, in this turn, and found none.
    """
    made = HandOver.objects.filter(booking=booking, direction=direction)
    if not first and (row := made.first()):
        return row, False
    row = HandOver.objects.create(
        booking=booking,
        direction=direction,
        at=now,
        by=by,
        walk_round=seen.points,
        note=seen.note,
        form_key=seen.form_key,
        **seen.more.fields(),
    )
    row.readings.add(*seen.readings)
    if seen.noted:
        belong_to(row, seen.noted)
    else:
        note_faults(booking.machine, seen, row.get_direction_display(), by=by, now=now, row=row)
    return row, True


def note_with_hand_over(row: HandOver, form_keys: Sequence[str]) -> None:
    """Say of findings, by the keys of their forms, that they were seen at this hand-over."""
    Finding.objects.filter(form_key__in=form_keys, hand_over=None).update(hand_over=row)


def check_out(
    booking: Booking, seen: WalkRound, *, by: Person | None, now: datetime, locked: bool = False
) -> HandOver:
    """Let a booked machine go; whether it may go is asked before, of the blocks.

    locked: the caller's transaction holds the machine's row, and after that read the booking and
    found that it has not gone out.
    """
    with transaction.atomic(savepoint=not locked):
        if not locked:
            machine = Machine.objects.select_for_update(no_key=True).get(pk=booking.machine_id)
            booking.refresh_from_db()
            booking.machine = machine
        _refuse_out(booking)
        row, made = _hand_over(booking, HandOver.Direction.OUT, seen, by=by, now=now, first=locked)
        if made:
            if row.at < booking.starts_at:
                save_booking(booking, [])  # out early: taken from now on
            tell({booking.machine_id})
        return row


def _refuse_out(booking: Booking) -> None:
    if booking.cancelled_at:
        raise Refusal("This booking was called off; make a new one.")
    back = HandOver.objects.filter(
        booking__machine=booking.machine_id, direction=HandOver.Direction.BACK
    )
    elsewhere = HandOver.objects.filter(
        booking__machine=booking.machine_id, direction=HandOver.Direction.OUT
    ).exclude(booking__in=back.values("booking"))
    if other := elsewhere.exclude(booking=booking).select_related("booking").first():
        raise Refusal(
            f"{booking.machine.tag} is still out with {other.booking.customer}; take it back first."
        )


def check_in(booking: Booking, seen: WalkRound, *, by: Person | None, now: datetime) -> HandOver:
    """Take a machine back; the booking ends on the yard's day on which it came."""
    refused = None
    with transaction.atomic(savepoint=False):
        try:
            return _taken_back(booking, seen, by, now)
        except Refusal as no:  # before anything was written, so that a caller's steps go on
            refused = no
    raise refused


def _taken_back(booking: Booking, seen: WalkRound, by: Person | None, now: datetime) -> HandOver:
    """Write a return in the machine's turn; a refusal comes before anything is written."""
    rows = Machine.objects.select_for_update(of=("self",), no_key=True)
    machine = rows.select_related("yard", "makeup__machine_class").get(pk=booking.machine_id)
    booking.refresh_from_db()
    booking.machine = machine
    made = {row.direction: row for row in booking.hand_overs.all()}
    if HandOver.Direction.OUT not in made:
        raise Refusal("This machine has not gone out on this booking; check it out first.")
    if back := made.get(HandOver.Direction.BACK):
        return back
    to_come = HandOver(booking=booking, direction=HandOver.Direction.BACK, at=now)
    end_booking(booking, now.astimezone(machine.yard.zone), by, [*made.values(), to_come])
    row, _ = _hand_over(booking, HandOver.Direction.BACK, seen, by=by, now=now, first=True)
    tell({machine.pk})
    return row


CAME_BACK = ("came back early", "came back late")
"""Reasons of a booking's last day that a return moved."""


def end_booking(
    booking: Booking,
    came_back: datetime,
    by: Person | None,
    handed: Sequence[HandOver] | None = None,
) -> None:
    """Move the booking's last day to the day of return, with the old one on record.

    The machine is free from that moment on, but for its turn-round.  handed: as `save_booking`
    takes them.
    """
    old, day = booking.last_day, max(came_back.date(), booking.first_day)
    booking.last_day = day
    save_booking(booking, ["last_day"], handed)
    if day != old:
        BookingChange.objects.create(
            booking=booking,
            old_last_day=old,
            new_last_day=day,
            reason=CAME_BACK[0] if day < old else CAME_BACK[1],
            by=by,
            at=came_back,
        )
