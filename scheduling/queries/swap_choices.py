"""Bookings of a machine that may have to go another way, each with the machines that may go."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from fleet.models import Booking, Machine, Person
from fleet.queries.coming_bookings import to_answer
from fleet.queries.mine import machines_of
from scheduling.availability.answer import answer, best_first
from scheduling.availability.counter_facts import left_of
from scheduling.availability.three_answers import Answer
from scheduling.queries.may_go_out import standings


@dataclass(frozen=True)
class AskedBooking:
    """One promise, and the machines of the class that may go in its place, the best first."""

    booking: Booking
    instead: Sequence[Machine]


def asked_bookings(machine: Machine, person: Person, today: date) -> list[AskedBooking]:
    """Return the promises of a machine that it is not out on; nine queries, however many."""
    bookings = to_answer(machine, today)
    if not bookings:
        return []
    others = machines_of(person).select_related("now").filter(
        makeup__machine_class=machine.makeup.machine_class_id, retired_on=None
    )  # fmt: skip
    known = standings(others.exclude(pk=machine.pk), today)
    found = []
    for booking in bookings:
        days = left_of(booking, today)
        answers = [answer(standing, days, today) for standing in known]
        free = [
            one for one in best_first(answers, near=machine.yard_id) if one.kind != Answer.MAY_NOT
        ]
        found.append(AskedBooking(booking, [one.machine for one in free]))
    return found
