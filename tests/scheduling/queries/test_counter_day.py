"""The counter's day: goings-out with their answer, comings-back, machines past their day."""

from datetime import timedelta

import pytest

from fleet.actions.hand_over import WalkRound, check_in, check_out
from scheduling.queries.counter_day import CounterDay, counter_day
from tests import consequences, factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def yard():
    return factories.Yard()


def booked(yard, first, last, *, out=False, back=False):
    machine = factories.Machine(yard=yard)
    consequences.MachineState(machine=machine)
    days = [TODAY + timedelta(days=n) for n in (first, last)]
    booking = factories.Booking(machine=machine, first_day=days[0], last_day=days[1])
    if out:
        check_out(booking, WalkRound(), by=None, now=NOON)
    if back:
        check_in(booking, WalkRound(), by=None, now=NOON)
    return booking


def the_day(yard):
    return counter_day([yard.shop], TODAY)


def test_each_booking_stands_where_it_belongs(yard):
    going, waiting = booked(yard, 0, 3), booked(yard, -1, 2)
    coming, late = booked(yard, -3, 0, out=True), booked(yard, -5, -1, out=True)
    booked(yard, 1, 3)
    booked(yard, -2, 0, out=True, back=True)
    booked(yard, -3, 5, out=True)
    booked(factories.Yard(), 0, 3)
    day = the_day(yard)
    assert {one.booking for one in day.going_out} == {going, waiting}
    assert (day.coming_back, day.late) == ([coming], [late])


def test_a_booking_never_fetched_does_not_stand_there_for_ever(yard):
    booked(yard, -5, -3)
    assert the_day(yard).going_out == []


def test_its_own_promise_does_not_stand_against_a_going_out(yard):
    booked(yard, 0, 3)
    (one,) = the_day(yard).going_out
    assert one.answer.yes


def test_those_that_may_not_go_stand_first(yard):
    free, blocked = booked(yard, 0, 3), booked(yard, 0, 3)
    consequences.Block(machine=blocked.machine)
    day = the_day(yard)
    assert [one.booking for one in day.going_out] == [blocked, free]
    assert day.stopped == 1


@pytest.mark.parametrize(
    ("going", "coming", "late", "said"),
    [
        (0, 0, 0, "0 machines go out today, 0 come back."),
        (1, 1, 1, "1 machine goes out today, 1 comes back; 1 is still out past its day."),
        (3, 2, 2, "3 machines go out today, 2 come back; 2 are still out past their day."),
    ],
)
def test_the_day_in_a_sentence(going, coming, late, said):
    assert CounterDay([None] * going, [None] * coming, [None] * late).sentence == said


@pytest.mark.parametrize("bookings", [5, 40])
def test_queries_do_not_grow(yard, bookings, django_assert_num_queries):
    for _ in range(bookings):
        booked(yard, 0, 3)
    with django_assert_num_queries(7):
        day = the_day(yard)
    assert len(day.going_out) == bookings
