"""A class promised on a hire if a machine of it is left; a machine chosen for it when it goes."""

from django.db import transaction

from fleet.actions.class_lines import NewClassLine, fill_line, locked_line, write_class_line
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
    today = decision.now.astimezone(new.yard.zone).date()
    if new.first_day < today:
        raise Refusal("That day is past; book from today on.", "first_day")
    if new.last_day < new.first_day:
        raise Refusal("The last day is before the first; swap them.", "last_day")
    room = class_room(new.machine_class, new.yard, Days(new.first_day, new.last_day), today)
    if not room.left:
        said = say_span(new.first_day, new.last_day, today)
        promised = f", and {room.promised} promised without a machine yet" if room.promised else ""
        raise Refusal(
            f"{new.machine_class}: none is left in {new.yard} {said}; {room.may} may go"
            f"{promised}. Choose other days, or put the customer on the wait list.",
            "machine_class",
        )
    return write_class_line(new, by=decision.by, now=decision.now)


@transaction.atomic
def choose_machine(line: ClassLine, machine: Machine, decision: Decision) -> Booking:
    """Give a class that was promised its machine; twice is once, and it keeps days and value."""
    line = locked_line(line)
    if line.booking is not None:
        return line.booking
    if line.cancelled_at:
        raise Refusal("This was called off; book the machine for itself.")
    if machine.makeup.machine_class_id != line.machine_class_id:
        raise Refusal(f"{machine.tag} is no {line.machine_class}; choose another machine.")
    first = max(line.first_day, decision.day(machine))
    if first > line.last_day:
        raise Refusal("Its last day is past; call it off, or book other days.")
    new = NewBooking(
        machine, first, line.last_day, line.hire.who, line.value, f"line-{line.pk}", hire=line.hire
    )
    booking = book_unless_blocked(new, decision)
    fill_line(line, booking, by=decision.by, now=decision.now)
    return booking
