"""A class promised on a hire if a machine of it is left; a machine chosen for it when it goes."""

from django.db import transaction

from fleet.actions.class_lines import (
    NewClassLine,
    fill_line,
    locked_line,
    refuse_given,
    standing_booking,
    write_called_back,
    write_changed_line,
    write_class_line,
)
from fleet.actions.make_bookings import NewBooking
from fleet.models import Booking, ClassLine, Machine, MachineClass
from fleet.refusal import Refusal
from fleet.saying import say_span
from scheduling.actions.book_and_check_out import Decision, book_unless_blocked
from scheduling.availability.counter_facts import Days
from scheduling.queries.open_classes import class_room


@transaction.atomic
def promise_class(new: NewClassLine, decision: Decision) -> ClassLine:
    """Promise any machine of a class, if one would be left on all of these days; once a form.

    The row of the class is held, so that two desks do not promise the last one both.
    """
    MachineClass.objects.select_for_update().get(pk=new.machine_class.pk)
    if new.form_key and (made := ClassLine.objects.filter(form_key=new.form_key).first()):
        return made
    _refuse_none_left(new, decision)
    return write_class_line(new, by=decision.by, now=decision.now)


@transaction.atomic
def change_class_line(line: ClassLine, right: NewClassLine, decision: Decision) -> ClassLine:
    """Change class, yard, days or value of a line, if one is left for what it says then."""
    MachineClass.objects.select_for_update().get(pk=right.machine_class.pk)
    line = locked_line(line)
    if line.cancelled_at:
        raise Refusal("This was called off; call it back in first.")
    refuse_given(line)
    same = (line.machine_class_id, line.yard_id) == (right.machine_class.pk, right.yard.pk)
    within = line.first_day <= right.first_day and right.last_day <= line.last_day
    if not (same and within):
        _refuse_none_left(right, decision, but=line)
    if right.last_day < right.first_day:
        raise Refusal("The last day is before the first; swap them.", "last_day")
    return write_changed_line(line, right, by=decision.by, now=decision.now, why=decision.reason)


@transaction.atomic
def call_line_back_in(line: ClassLine, decision: Decision) -> ClassLine:
    """Let a line that was called off stand again, if one is left for it; twice is once."""
    MachineClass.objects.select_for_update().get(pk=line.machine_class_id)
    line = locked_line(line)
    if line.cancelled_at is None:
        return line
    said = NewClassLine(
        line.hire, line.machine_class, line.yard, line.first_day, line.last_day
    )  # fmt: skip
    _refuse_none_left(said, decision)
    return write_called_back(line, by=decision.by, now=decision.now)


def _refuse_none_left(new: NewClassLine, decision: Decision, but: ClassLine | None = None) -> None:
    today = decision.now.astimezone(new.yard.zone).date()
    if new.first_day < today and (but is None or new.first_day != but.first_day):
        raise Refusal("That day is past; book from today on.", "first_day")
    if new.last_day < new.first_day:
        raise Refusal("The last day is before the first; swap them.", "last_day")
    days = Days(max(new.first_day, today), new.last_day, now=decision.now)
    room = class_room(new.machine_class, new.yard, days, today, but)
    if not room.left:
        said = say_span(new.first_day, new.last_day, today)
        promised = f", and {room.promised} promised without a machine yet" if room.promised else ""
        raise Refusal(
            f"{new.machine_class}: none is left in {new.yard} {said}; {room.may} may go"
            f"{promised}. Choose other days, or put the customer on the wait list.",
            "machine_class",
        )


@transaction.atomic
def choose_machine(line: ClassLine, machine: Machine, decision: Decision) -> Booking:
    """Give a class that was promised its machine; twice is once, and it keeps days and value."""
    line = locked_line(line)
    if (booking := standing_booking(line)) is not None:
        return booking
    if line.cancelled_at:
        raise Refusal("This was called off; book the machine for itself.")
    if machine.makeup.machine_class_id != line.machine_class_id:
        raise Refusal(f"{machine.tag} is no {line.machine_class}; choose another machine.")
    first = max(line.first_day, decision.day(machine))
    if first > line.last_day:
        raise Refusal("Its last day is past; call it off, or book other days.")
    before = f"-{line.booking_id}" if line.booking_id else ""  # one that was called off since
    key = f"line-{line.pk}{before}"
    new = NewBooking(machine, first, line.last_day, line.hire.who, line.value, key, hire=line.hire)
    booking = book_unless_blocked(new, decision, fills=line)
    fill_line(line, booking, by=decision.by, now=decision.now)
    return booking
