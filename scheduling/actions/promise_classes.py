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
from fleet.actions.make_bookings import NewBooking, refuse_days
from fleet.booked_times import due_back, say_booked
from fleet.models import Booking, ClassLine, Machine, MachineClass
from fleet.refusal import Refusal
from scheduling.actions.book_and_check_out import Decision, book_unless_blocked
from scheduling.availability.counter_facts import Days, wanted_still
from scheduling.queries.open_classes import class_room


@transaction.atomic
def promise_class(new: NewClassLine, decision: Decision) -> ClassLine:
    """Promise any machine of a class, if one would be left on all of these days; once a form.

    The row of the class is held, so that two desks do not promise the last one both.
    """
    MachineClass.objects.select_for_update(no_key=True).get(pk=new.machine_class.pk)
    if new.form_key and (made := ClassLine.objects.filter(form_key=new.form_key).first()):
        return made
    _refuse_none_left(new, decision)
    return write_class_line(new, by=decision.by, now=decision.now)


@transaction.atomic
def change_class_line(line: ClassLine, right: NewClassLine, decision: Decision) -> ClassLine:
    """Change class, yard, days or value of a line, if one is left for what it says then."""
    MachineClass.objects.select_for_update(no_key=True).get(pk=right.machine_class.pk)
    line = locked_line(line)
    if line.cancelled_at:
        raise Refusal("This was called off; call it back in first.")
    refuse_given(line)
    refuse_days(right.days, decision.now.astimezone(right.yard.zone).date())
    if not _within(line, right):
        _refuse_none_left(right, decision, but=line)
    return write_changed_line(line, right, by=decision.by, now=decision.now, why=decision.reason)


def _within(line: ClassLine, right: NewClassLine) -> bool:
    """Tell whether a line would take nothing that it has not got already."""
    if (line.machine_class_id, line.yard_id) != (right.machine_class.pk, right.yard.pk):
        return False
    had, asks = (
        Days(one.first_day, one.last_day, from_time=one.from_time, to_time=one.to_time)
        .moments_at(right.yard, right.machine_class)
        for one in (line, right)
    )  # fmt: skip
    return had[0] <= asks[0] and asks[1] <= had[1]


@transaction.atomic
def call_line_back_in(line: ClassLine, decision: Decision) -> ClassLine:
    """Let a line that was called off stand again, if one is left for it; twice is once."""
    MachineClass.objects.select_for_update(no_key=True).get(pk=line.machine_class_id)
    line = locked_line(line)
    if line.cancelled_at is None:
        return line
    said = NewClassLine(
        line.hire, line.machine_class, line.yard, line.first_day, line.last_day,
        from_time=line.from_time, to_time=line.to_time,
    )  # fmt: skip
    _refuse_none_left(said, decision)
    return write_called_back(line, by=decision.by, now=decision.now)


def _refuse_none_left(new: NewClassLine, decision: Decision, but: ClassLine | None = None) -> None:
    today = decision.now.astimezone(new.yard.zone).date()
    if new.first_day < today and (but is None or new.first_day != but.first_day):
        raise Refusal("That day is past; book from today on.", "first_day")
    refuse_days(new.days, today)
    past = new.first_day < today
    days = Days(
        max(new.first_day, today), max(new.last_day, today), now=decision.now,
        from_time=None if past else new.from_time, to_time=new.to_time,
    )  # fmt: skip
    room = class_room(new.machine_class, new.yard, days, today, but)
    if not room.left:
        said = say_booked(new.days, today)
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
    if due_back(line.days, line.yard.zone) <= decision.now:
        raise Refusal("Its last day is past; call it off, or book other days.")
    wanted = wanted_still(line, decision.day(machine))
    before = f"-{line.booking_id}" if line.booking_id else ""  # one that was called off since
    key = f"line-{line.pk}{before}"
    new = NewBooking(
        machine, wanted.first, line.last_day, line.hire.who, line.value, key, hire=line.hire,
        from_time=wanted.from_time, to_time=wanted.to_time,
    )  # fmt: skip
    booking = book_unless_blocked(new, decision, fills=line)
    fill_line(line, booking, by=decision.by, now=decision.now)
    return booking
