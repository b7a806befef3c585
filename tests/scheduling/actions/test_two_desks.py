"""Two desks at once: the machine is promised once and goes out once, on either database."""

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from django.db import connection

from fleet.actions.hand_over import WALK_ROUND, WalkRound
from fleet.actions.make_bookings import NewBooking
from fleet.models import Booking, HandOver, Role
from fleet.refusal import Refusal
from scheduling.actions.book_and_check_out import (
    Decision,
    book_unless_blocked,
    check_out_unless_blocked,
)
from tests import consequences, factories
from tests.factories import NOON, TODAY
from tests.scheduling.counter_case import LAST

pytestmark = pytest.mark.django_db(transaction=True)
DESKS = 4


@pytest.fixture
def machine():
    machine = factories.Machine()
    consequences.MachineState(machine=machine)
    return machine


def at_once(work):
    """Run work for each desk in a thread of its own, all released together."""
    gate = Barrier(DESKS)

    def one(number):
        try:
            gate.wait()
            return work(number)
        except Refusal as no:
            return no.sentence
        finally:
            connection.close()

    with ThreadPoolExecutor(DESKS) as pool:
        return list(pool.map(one, range(DESKS)))


def test_one_of_four_desks_gets_the_machine_and_the_others_are_told(machine):
    desks = [factories.Person(role=Role.DESK) for _ in range(DESKS)]

    def book(number):
        new = NewBooking(machine, TODAY, LAST, f"Customer {number}", form_key=f"k{number}")
        return book_unless_blocked(new, Decision(desks[number], NOON))

    answers = at_once(book)
    assert Booking.objects.count() == 1
    assert sum(isinstance(one, Booking) for one in answers) == 1
    assert sum("booked for Customer" in str(one) for one in answers) == DESKS - 1


def test_one_form_pressed_four_times_is_one_booking(machine):
    desk = factories.Person(role=Role.DESK)
    new = NewBooking(machine, TODAY, LAST, "Two Pines", form_key="same")
    answers = at_once(lambda _: book_unless_blocked(new, Decision(desk, NOON)).pk)
    assert len(set(answers)) == 1


def test_a_machine_let_out_four_times_at_once_goes_out_once(machine):
    booking = factories.Booking(machine=machine, first_day=TODAY, last_day=LAST)
    desk = factories.Person(role=Role.DESK)
    seen = WalkRound(dict.fromkeys(WALK_ROUND, True))
    decision = Decision(desk, NOON, "known to be sound")
    answers = at_once(lambda _: check_out_unless_blocked(booking, seen, decision).pk)
    assert len(set(answers)) == 1
    assert HandOver.objects.count() == booking.overrides.count() == 1
