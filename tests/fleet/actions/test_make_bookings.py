"""Bookings: one machine is promised once a day, and every change stays on record."""

from datetime import date
from threading import Barrier, Thread

import pytest
from django.db import connection

from fleet.actions.make_bookings import NewBooking, call_off, move_last_day
from fleet.models import Booking
from fleet.refusal import Refusal
from tests import factories
from tests.booked import book
from tests.factories import NOON

pytestmark = pytest.mark.django_db


def wish(machine, first="2026-03-05", last="2026-03-08", **more) -> NewBooking:
    days = date.fromisoformat(first), date.fromisoformat(last)
    return NewBooking(machine, *days, customer="Alder Creek fencing", **more)


def test_a_machine_is_booked_with_who_and_when():
    clerk = factories.Person()
    booking = book(wish(factories.Machine()), by=clerk, now=NOON)
    assert (booking.made_by, booking.made_at) == (clerk, NOON)


def test_the_same_form_twice_is_one_booking():
    new = wish(factories.Machine(), form_key="k1")
    assert book(new, by=None, now=NOON) == book(new, by=None, now=NOON)
    assert Booking.objects.count() == 1


@pytest.mark.parametrize(
    ("first", "last"),
    [
        ("2026-03-08", "2026-03-09"),  # shares the last day
        ("2026-03-01", "2026-03-05"),  # shares the first day
        ("2026-03-06", "2026-03-07"),  # lies inside
        ("2026-03-01", "2026-03-20"),  # lies around
    ],
)
def test_days_already_promised_are_refused_with_the_customer_named(first, last):
    machine = factories.Machine()
    book(wish(machine), by=None, now=NOON)
    with pytest.raises(Refusal, match="booked for Alder Creek fencing"):
        book(wish(machine, first, last), by=None, now=NOON)


def test_a_booking_called_off_frees_its_days_and_twice_is_once():
    machine = factories.Machine()
    booking = book(wish(machine), by=None, now=NOON)
    call_off(booking, by=None, now=NOON)
    call_off(booking, by=None, now=NOON)
    assert book(wish(machine), by=None, now=NOON).pk != booking.pk


def test_a_last_day_before_the_first_is_refused():
    with pytest.raises(Refusal, match="before the first"):
        book(wish(factories.Machine(), "2026-03-08", "2026-03-05"), by=None, now=NOON)


def test_a_retired_machine_is_refused():
    machine = factories.Machine(retired_on=date(2026, 3, 6))
    with pytest.raises(Refusal, match="retired"):
        book(wish(machine), by=None, now=NOON)


def test_a_moved_last_day_keeps_the_old_one_on_record():
    booking = book(wish(factories.Machine()), by=None, now=NOON)
    move_last_day(booking, date(2026, 3, 10), reason="rain", by=None, now=NOON)
    change = booking.changes.get()
    assert (change.old_last_day, change.new_last_day) == (date(2026, 3, 8), date(2026, 3, 10))


def test_a_last_day_is_not_moved_into_the_next_booking():
    machine = factories.Machine()
    booking = book(wish(machine), by=None, now=NOON)
    book(wish(machine, "2026-03-10", "2026-03-11"), by=None, now=NOON)
    with pytest.raises(Refusal, match="booked for"):
        move_last_day(booking, date(2026, 3, 10), reason="", by=None, now=NOON)


@pytest.mark.django_db(transaction=True)
def test_two_counters_at_once_book_a_machine_once():
    machine, gate, refused = factories.Machine(), Barrier(2), []

    def press(name: str) -> None:
        gate.wait()
        try:
            book(wish(machine, form_key=name), by=None, now=NOON)
        except Refusal as refusal:
            refused.append(refusal)
        finally:
            connection.close()

    pressing = [Thread(target=press, args=[name]) for name in "ab"]
    for thread in pressing:
        thread.start()
    for thread in pressing:
        thread.join()
    assert (Booking.objects.count(), len(refused)) == (1, 1)
