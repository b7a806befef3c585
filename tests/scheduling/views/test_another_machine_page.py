"""Two presses give a booking another machine: one opens the choices, one takes one of them."""

from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.models import Booking, BookingChange, HandOver
from scheduling.forms.correct_booking_form import seen_now
from tests import consequences, factories
from tests.factories import TODAY
from tests.pages import words
from tests.scheduling.counter_case import LAST, open_counter

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(client, monkeypatch):
    return open_counter(client, monkeypatch)


@pytest.fixture
def booking(case):
    return case.booking(first=TODAY + timedelta(days=2))


def page_of(booking):
    return reverse("booking-another", args=[booking.pk])


def give(client, booking, machine, **more):
    return client.post(page_of(booking), {"machine": machine.tag, "seen": seen_now(booking)} | more)


def test_one_press_on_the_booking_opens_the_choices_and_one_takes_it(client, case, booking):
    other = case.another()
    assert f'href="{page_of(booking)}">Another machine' in client.get(booking_page(booking)).text
    page = client.get(page_of(booking))
    assert "1 machine may take the place of Q-1" in words(page)
    assert f'name="machine" value="{other.tag}"' in page.text
    assert give(client, booking, other).url == booking_page(booking)
    row = Booking.objects.get(pk=booking.pk)
    assert (row.machine, row.first_day, row.last_day) == (other, booking.first_day, LAST)
    assert (row.customer, row.hire_id) == (booking.customer, booking.hire_id)
    assert f"{other.tag} is booked for {booking.customer} now, and Q-1 is free." in words(
        client.get(booking_page(booking))
    )
    give(client, booking, other)  # a second press changes nothing
    assert not BookingChange.objects.exists()


def booking_page(booking):
    return reverse("booking", args=[booking.pk])


def test_its_price_follows_the_machine(client, case, booking):
    other = case.another()
    type(other).objects.filter(pk=other.pk).update(day_rate=150)
    days = (booking.last_day - booking.first_day).days + 1
    Booking.objects.filter(pk=booking.pk).update(value=booking.machine.price_a_day * days)
    booking.refresh_from_db()
    give(client, booking, other)
    assert Booking.objects.get(pk=booking.pk).value == 150 * days


def test_who_is_promised_then_or_may_not_go_is_no_choice_and_takes_nothing(client, case, booking):
    taken, held = case.another(), case.another()
    factories.Booking(machine=taken, first_day=booking.first_day, last_day=booking.last_day)
    consequences.Block(machine=held, kind="hold", first_day=TODAY, last_day=None)
    page = words(client.get(page_of(booking)))
    assert "No other machine may take the place of Q-1" in page
    for machine in (taken, held):
        answer = give(client, booking, machine)
        assert answer.status_code == 200
        assert Booking.objects.get(pk=booking.pk).machine == booking.machine
    assert "is booked for" in words(give(client, booking, taken))


@pytest.mark.parametrize("tag", ["none", "R-9"])
def test_a_machine_of_nowhere_or_of_another_class_takes_nothing(client, booking, tag):
    factories.Machine(tag="R-9", yard=booking.machine.yard)
    answer = client.post(page_of(booking), {"machine": tag, "seen": "{}"})
    assert "choose one of these" in words(answer)
    assert Booking.objects.get(pk=booking.pk).machine == booking.machine


def test_who_changed_it_meanwhile_is_named(client, case, booking):
    other = case.another()
    seen = seen_now(booking)
    Booking.objects.filter(pk=booking.pk).update(customer="Two Pines")
    answer = give(client, booking, other, seen=seen)
    assert "changed this booking while you did" in words(answer)
    assert Booking.objects.get(pk=booking.pk).machine == booking.machine


def test_one_that_is_out_over_or_called_off_says_so(client, case):
    out = case.out()
    assert "has gone out on this booking" in words(client.get(page_of(out), follow=True))
    HandOver.objects.all().delete()
    Booking.objects.filter(pk=out.pk).update(
        first_day=TODAY - timedelta(days=3), last_day=TODAY - timedelta(days=1)
    )
    assert "over by its days" in words(client.get(page_of(out), follow=True))
    Booking.objects.filter(pk=out.pk).update(cancelled_at=out.made_at)
    assert "was called off" in words(client.get(page_of(out), follow=True))
