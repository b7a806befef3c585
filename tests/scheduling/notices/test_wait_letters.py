"""Who waits is told of to the desk once, when something comes free."""

import pytest

from fleet.actions.make_bookings import call_off
from fleet.actions.open_hires import HireFacts
from fleet.models import Waiting
from fleet.refusal import Refusal
from scheduling.actions.book_and_check_out import Decision
from scheduling.actions.serve_waits import book_waiting, put_on_list
from scheduling.models import Notice
from scheduling.notices.wait_letters import tell_of_waits
from scheduling.queries.waits_to_serve import WaitTyped, waits_with_free
from tests.factories import NOON, TODAY
from tests.scheduling.counter_case import LAST, open_counter

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(client, monkeypatch):
    return open_counter(client, monkeypatch)


@pytest.fixture
def wait(case):
    def waits(**more):
        machine = case.machine
        typed = WaitTyped(machine.makeup.machine_class, machine.yard, TODAY, LAST, **more)
        return put_on_list(typed, HireFacts("Two Pines"), Decision(case.desk, NOON))

    return waits


def letters():
    return list(Notice.objects.filter(kind=Notice.Kind.FREE))


def look(case):
    return tell_of_waits(case.desk.shop, NOON, {case.machine.pk})


def test_nothing_is_told_while_nothing_is_free(case, wait):
    case.booking()
    wait()
    assert look(case) == 0


@pytest.mark.django_db(transaction=True)
def test_a_booking_called_off_is_told_once_by_itself(case, wait):
    booking = case.booking()
    wait()
    call_off(booking, by=case.desk, now=NOON)
    (letter,) = letters()  # the refresh after the commit looked
    assert letter.person == case.desk
    assert letter.subject.startswith("Q-1 is free for Two Pines")
    assert look(case) == 0


def test_taken_and_free_again_is_told_again(case, wait):
    booking = case.booking()
    wait()
    call_off(booking, by=case.desk, now=NOON)
    look(case)
    other = case.booking()
    assert look(case) == 0
    call_off(other, by=case.desk, now=NOON)
    assert look(case) == 1
    assert len(letters()) == 2


def test_what_is_free_as_the_wait_is_written_is_no_news(case, wait):
    wait()
    assert look(case) == 0


def test_one_who_waits_for_this_machine_alone_is_not_told_of_another(case, wait):
    case.booking()
    wait(machine=case.machine)
    case.another()
    assert look(case) == 0


def test_who_waits_is_booked_by_one_press_and_is_off_the_list(case, wait):
    row = wait()
    (listed,) = waits_with_free([case.desk.shop], TODAY)
    decision = Decision(case.desk, NOON)
    booking = book_waiting(row, listed.free[0].machine, decision)
    assert (booking.customer, booking.first_day, booking.last_day) == ("Two Pines", TODAY, LAST)
    assert book_waiting(row, case.machine, decision) == booking
    assert not waits_with_free([case.desk.shop], TODAY)


def test_who_was_taken_off_is_not_booked(case, wait):
    row = wait()
    Waiting.objects.filter(pk=row.pk).update(over_at=NOON)
    with pytest.raises(Refusal, match="taken off"):
        book_waiting(row, case.machine, Decision(case.desk, NOON))


def test_a_form_sent_twice_is_one_wait(wait):
    assert wait(form_key="k") == wait(form_key="k")
