"""The counter's writes that the blocks have a say in: booking, prolonging, letting out.

The question is asked again inside the transaction, of the machine whose turn it is, so that a
second counter, a page that is an hour old or a forged form get the same answer as the first.
"""

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.db.models import Exists, OuterRef

from fleet.actions.decide_work import answer_for_safety, override_block
from fleet.actions.hand_over import WalkRound, check_out
from fleet.actions.keep_times import promised_span
from fleet.actions.keep_use import keep_use
from fleet.actions.make_bookings import (
    NewBooking,
    made_by_form,
    move_last_day,
    promise,
    refuse_days,
    wished,
)
from fleet.actions.note_findings import settle_findings
from fleet.booked_times import PromisedDays, due_back
from fleet.models import Booking, ClassLine, Finding, HandOver, Hold, Machine, Person, Shop
from fleet.queries.safety_findings import asks_for_safety, holds_on, open_safety_findings
from fleet.refusal import Refusal
from fleet.turns import in_turn
from scheduling.actions.in_steps import in_steps
from scheduling.availability.answer import Availability
from scheduling.availability.counter_facts import going_out, left_of
from scheduling.availability.refusal_words import say_objection
from scheduling.due.learning import not_learnt
from scheduling.due.refresh import refresh
from scheduling.outbox.gathering import worked_out
from scheduling.queries.may_go_out import Days, may_go_between
from scheduling.queries.open_classes import open_lines, room_beside

BACK = HandOver.Direction.BACK


@dataclass(frozen=True)
class Decision:
    """Who decides, when, and why it goes out anyway, if anything stands against it."""

    by: Person
    now: datetime
    reason: str = ""

    def day(self, machine: Machine) -> date:
        """Return the day that it is in the machine's yard."""
        return self.now.astimezone(machine.yard.zone).date()


@in_turn
@transaction.atomic
def book_unless_blocked(
    new: NewBooking, decision: Decision, *, fills: ClassLine | None = None
) -> Booking:
    """Book a machine; what stands against it and is not final wants a reason, kept with a name.

    So does the last machine of a class that is promised without one, unless the booking `fills`
    that promise.
    """
    machine = locked(new.machine.pk)
    if made := made_by_form(new):
        return made
    today = decision.day(machine)
    if new.first_day < today:
        raise Refusal("That day is past; book from today on.", "first_day")
    new = replace(new, machine=machine)
    refuse_days(PromisedDays(new.first_day, new.last_day, new.from_time, new.to_time), today)
    wish = wished(new, decision.now)
    span = wish.starts_at, wish.ends_at
    days = Days(new.first_day, new.last_day, span, decision.now, new.from_time, new.to_time)
    answer = may_go_between(machine, days, today, hours_a_day=new.hours_a_day)
    refuse_final(answer, "first_day")
    taken = "" if fills or answer.needs_reason else takes_promised(machine, days, decision)
    if answer.needs_reason:
        want_reason(answer, decision)
    booking = promise(new, by=decision.by, now=decision.now)
    if answer.needs_reason:
        override_objections(booking, answer, decision)
    if taken:
        override_block(
            booking, against=taken, reason=decision.reason, by=decision.by, now=decision.now
        )
    return booking


def takes_promised(machine: Machine, days: Days, decision: Decision) -> str:
    """Say that a booking takes what a class is promised; it wants a reason then."""
    room = room_beside(machine, days, decision.day(machine))
    if room is None or room.left:
        return ""
    said = f"it takes a {machine.makeup.machine_class} that is promised without a machine"
    if not decision.reason.strip():
        raise Refusal(
            f"{room.sentence} Choose other days, give the promise its machine first, or say why"
            " this customer comes before; your name and the reason stay on record.",
            "reason",
        )
    return said


@in_turn
@transaction.atomic
def prolong_unless_blocked(booking: Booking, last_day: date, decision: Decision) -> Booking:
    """Move a booking's last day; a later one is asked of the blocks like a new booking."""
    machine = locked(booking.machine_id)
    booking.refresh_from_db()
    today = decision.day(machine)
    _refuse_over(booking, back=booking.hand_overs.filter(direction=BACK).exists())
    if last_day < max(today, booking.first_day):
        raise Refusal("The last day cannot be before today or the first day.", "last_day")
    answer = None
    if last_day > booking.last_day:
        days = _prolonged(booking, machine, last_day, decision)
        answer = may_go_between(machine, days, today, but=booking)
        refuse_final(answer, "last_day")
        if answer.needs_reason:
            want_reason(answer, decision)
    move_last_day(booking, last_day, reason=decision.reason, by=decision.by, now=decision.now)
    if answer and answer.needs_reason:
        override_objections(booking, answer, decision)
    return booking


def _prolonged(booking: Booking, machine: Machine, last_day: date, decision: Decision) -> Days:
    """Return the days and moments that are left of a booking once it ends on another day."""
    longer = copy(booking)
    longer.machine, longer.last_day = machine, last_day
    longer.starts_at, longer.ends_at = promised_span(longer)
    return left_of(longer, decision.day(machine), decision.now)


def learn_first(machine: Machine, now: datetime) -> None:
    """See to it that what a shop's fleet teaches is kept, before a transaction forecasts by it.

    A night keeps it; a shop that has had none, or its first odometer, learns from all its machines,
    which is too long to hold SQLite's write lock.
    """
    if not_learnt(machine.pk):
        refresh({machine.pk}, now)


def check_out_unless_blocked(booking: Booking, seen: WalkRound, decision: Decision) -> HandOver:
    """Check a machine out, if nothing final stands against it; a second press finds the first.

    1. Take the machine's turn.
    2. Keep how long it is to run a day, and bring what follows from that and from its newest
       reading up to date, in this transaction.
    3. Ask whether it may go.
    4. Write the override, then the hand-over.

    Step 2 forecasts inside the transaction, the one place that does, and holds SQLite's write lock
    for it: some 30 ms for one machine, with what its fleet teaches known (so whoever opens the
    transaction calls `learn_first` before).  Asked before the transaction it could not know the
    reading that is taken in it, and asked after it the machine would be gone.  What step 4 writes
    moves no due point: a booking counts with its days, whether or not the machine is out on it
    already.  So nothing is left to work out after the commit, only to warn.
    """
    with in_steps():
        machine = locked(booking.machine_id, asks=True)
        booking.refresh_from_db()
        booking.machine = machine
        made = {row.direction: row for row in booking.hand_overs.all()}
        if gone := made.get(HandOver.Direction.OUT):
            return gone
        _refuse_end(booking, decision, back=BACK in made)
        return let_out_in_turn(machine, booking, seen, decision)


def let_out_in_turn(
    machine: Any, booking: Booking, seen: WalkRound, decision: Decision, *, whole: bool = False
) -> HandOver:
    """Check out a machine whose row the transaction holds, on a booking that is not out: 2 to 4.

    machine: with held and asks, as `locked` gives it.  whole: a refusal undoes the caller's step,
    so that this needs no savepoint of its own.
    """
    if machine.held:
        _refuse_hold(machine)
    keep_use(booking, seen.more.hours_a_day, by=decision.by, now=decision.now)
    refresh({machine.pk}, decision.now)
    with worked_out({machine.pk}), transaction.atomic(savepoint=not whole):
        return _let_go(machine, booking, seen, decision)


def _let_go(machine: Any, booking: Booking, seen: WalkRound, decision: Decision) -> HandOver:
    today = decision.day(machine)
    days = going_out(booking, today, decision.now)
    answer = may_go_between(machine, days, today, but=booking)
    refuse_final(answer)
    asked = open_safety_findings(machine) if machine.asks else []
    _answer_safety(booking, asked, seen, decision)
    faults = [point for point in seen.wrong if point not in seen.unsafe]
    if not answer.yes:
        want_reason(answer, decision)
        override_objections(booking, answer, decision)
    if faults:
        _override_faults(booking, faults, decision)
    return check_out(booking, seen, by=decision.by, now=decision.now, locked=True)


def _answer_safety(
    booking: Booking, asked: Sequence[Finding], seen: WalkRound, decision: Decision
) -> None:
    """Ask of each open finding for safety whether it is put right, or why it goes anyway."""
    right = [one for one in asked if one.pk in seen.put_right]
    wrong = [one.text for one in asked if one.pk not in seen.put_right]
    wrong += [f"walk-round: {point}" for point in seen.unsafe]
    if wrong and not seen.reason.strip():
        raise Refusal(
            f"Not safe: {'; '.join(wrong)}. Say that it is put right, or why {booking.machine.tag}"
            " may go anyway; your name and the reason stay on record.",
            "safety_reason",
        )
    if right:
        note = f"put right, {decision.by} looked at it at check-out"
        settle_findings(right, note=note, by=decision.by, now=decision.now)
    if wrong:
        answer_for_safety(
            booking, against=f"not safe: {'; '.join(wrong)}", reason=seen.reason,
            by=decision.by, now=decision.now,
        )  # fmt: skip


def locked(machine_pk: int, *, asks: bool = False) -> Any:
    """Return the machine, its row held until the transaction ends; two counters take turns.

    asks: with held, asks and promised beside it: whether a hold hangs on it, whether findings for
    safety are open, and whether any of its class is promised without a machine.
    """
    rows: Any = Machine.objects.select_for_update(of=("self",), no_key=True)
    if asks:
        rows = rows.annotate(
            held=holds_on("pk"),
            asks=asks_for_safety("pk"),
            promised=Exists(open_lines().filter(machine_class=OuterRef("makeup__machine_class"))),
        )
    return rows.select_related("makeup__machine_class", "yard__shop").get(pk=machine_pk)


def _refuse_over(booking: Booking, *, back: bool) -> None:
    if booking.cancelled_at:
        raise Refusal("This booking was called off; make a new one.")
    if back:
        raise Refusal("The machine is back; this booking is over.")


def _refuse_end(booking: Booking, decision: Decision, *, back: bool) -> None:
    _refuse_over(booking, back=back)
    if decision.day(booking.machine) > booking.last_day:
        raise Refusal(
            f"This booking ended on {booking.last_day:%a %-d %b}; move its last day first."
        )
    if due_back(booking.days, booking.machine.yard.zone) <= decision.now:
        raise Refusal(
            f"This booking ended at {booking.to_time:%H:%M}; change when it comes back first."
        )


def _refuse_hold(machine: Machine) -> None:
    """A hold placed a moment ago is a fact already, though no block may say so yet."""
    if hold := Hold.objects.filter(machine=machine, released_at=None).first():
        raise Refusal(f"{machine.tag} is held: {hold.reason}. It stays until it is released.")


def refuse_final(answer: Availability, field: str = "") -> None:
    """Refuse what nobody at the counter can decide otherwise."""
    if answer.final:
        raise Refusal(answer.sentence, field)


def want_reason(answer: Availability, decision: Decision) -> None:
    """Refuse a decision against a block that gives no reason, or is not this person's."""
    shop = answer.machine.yard.shop
    if shop.overrules == Shop.Overrules.MANAGER and not decision.by.manages:
        raise Refusal(
            f"{answer.why_head}. At {shop} a manager alone decides against that: ask one, or"
            " choose another machine."
        )
    if not decision.reason.strip():
        raise Refusal(
            f"{answer.why_head}. Choose another machine, or say why it goes out anyway;"
            " your name and the reason stay on record.",
            "reason",
        )


def override_objections(booking: Booking, answer: Availability, decision: Decision) -> None:
    """Keep what was decided against, with name and reason."""
    for one in answer.objections:
        override_block(
            booking,
            against=say_objection(one, answer.today).words,
            service=one.service,
            reason=decision.reason,
            by=decision.by,
            now=decision.now,
        )


def _override_faults(booking: Booking, faults: list[str], decision: Decision) -> None:
    """What was not in order on the walk round is a decision of the person at the counter too."""
    named = "; ".join(faults)
    if not decision.reason.strip():
        raise Refusal(
            f"Not in order: {named}. Have it put right, take another machine, or say why it goes"
            " out anyway; your name and the reason stay on record.",
            "reason",
        )
    override_block(
        booking,
        against=f"walk-round, not in order: {named}",
        reason=decision.reason,
        by=decision.by,
        now=decision.now,
    )
