"""A booking put right from its page: who, which days, which machine; called back in."""

from datetime import date, time, timedelta

import pytest
from django.urls import reverse
from django.utils.html import escape

from fleet.actions.hand_over import WalkRound, check_in
from fleet.models import Booking, LoggedChange, Override, Role
from scheduling.forms.correct_booking_form import seen_now
from tests import consequences, factories
from tests.factories import NOON, TODAY
from tests.scheduling.counter_case import LAST, open_counter

pytestmark = pytest.mark.django_db


@pytest.fixture
def counter(client, monkeypatch):
    return open_counter(client, monkeypatch)


@pytest.fixture
def booking(counter):
    return counter.booking()


def send(client, booking, **more):
    typed = {
        "customer": booking.customer, "machine": booking.machine_id,
        "first_day": booking.first_day, "last_day": booking.last_day,
    }  # fmt: skip
    return client.post(reverse("booking-correct", args=[booking.pk]), typed | more)


def test_what_it_said_before_is_struck_through_on_its_page(client, booking):
    answer = send(client, booking, customer="Two Pines", value="480", reason="misheard")
    assert answer.status_code == 302
    row = Booking.objects.get(pk=booking.pk)
    assert (row.customer, row.value) == ("Two Pines", 480)
    page = client.get(reverse("booking", args=[booking.pk])).text
    assert "<s>Alder Creek fencing</s>, now Two Pines" in page
    assert "misheard" in page


def test_its_days_and_its_machine_can_be_others(client, counter, booking):
    other = counter.another()
    first = TODAY + timedelta(days=2)
    assert send(client, booking, machine=other.pk, first_day=first).status_code == 302
    row = Booking.objects.get(pk=booking.pk)
    assert (row.machine, row.first_day) == (other, first)


def test_days_that_are_promised_to_another_are_refused(client, counter, booking):
    first = LAST + timedelta(days=5)
    factories.Booking(
        machine=counter.machine, first_day=first, last_day=first, customer="Two Pines"
    )
    page = send(client, booking, last_day=first).text
    assert "is booked for Two Pines" in page
    assert Booking.objects.get(pk=booking.pk).last_day == LAST


def test_a_machine_past_a_hard_limit_takes_no_booking_of_another(client, counter, booking):
    other = counter.another()
    consequences.Block(machine=other, hard=True)
    assert "may not go out" in send(client, booking, machine=other.pk).text
    assert Booking.objects.get(pk=booking.pk).machine == counter.machine


def test_what_can_be_overruled_wants_a_reason_and_keeps_it(client, counter, booking):
    other = counter.another()
    consequences.Block(machine=other)
    assert "say why it goes out anyway" in send(client, booking, machine=other.pk).text
    assert send(client, booking, machine=other.pk, reason="asked for").status_code == 302
    assert Override.objects.get().machine == other


def test_once_it_is_back_only_who_and_how_much_can_be_corrected(client, counter):
    booking = counter.out()
    assert send(client, booking, last_day=LAST + timedelta(days=1)).status_code == 302
    check_in(booking, WalkRound(), by=counter.desk, now=NOON)
    booking.refresh_from_db()
    page = send(client, booking, last_day=LAST + timedelta(days=1)).text
    assert "is back from this booking" in page
    assert send(client, booking, customer="Two Pines").status_code == 302


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"customer": " "}, "Say for whom"),
        ({"last_day": date(2026, 3, 1)}, "before the first"),
        ({"last_day": "soon"}, "not a day of the calendar"),
        ({"last_day": date(2028, 3, 1)}, "more than a year"),
        ({"value": "-1"}, "below zero"),
    ],
)
def test_what_cannot_be_is_said_at_its_field(client, booking, typed, words):
    assert words in send(client, booking, **typed).text


def test_one_called_off_by_mistake_is_called_back_in(client, booking):
    Booking.objects.filter(pk=booking.pk).update(cancelled_at=NOON)
    assert "Call it back in" in client.get(reverse("booking", args=[booking.pk])).text
    client.post(reverse("booking-back-in", args=[booking.pk]))
    assert Booking.objects.get(pk=booking.pk).cancelled_at is None
    assert LoggedChange.objects.get().act == "called back in"


def test_days_taken_meanwhile_stay_with_whom_they_were_given(client, counter, booking):
    Booking.objects.filter(pk=booking.pk).update(cancelled_at=NOON)
    counter.booking()
    answer = client.post(reverse("booking-back-in", args=[booking.pk]), follow=True)
    assert "is booked for Alder Creek fencing" in answer.text
    assert Booking.objects.get(pk=booking.pk).cancelled_at == NOON


def test_one_called_off_is_called_back_in_before_it_is_corrected(client, booking):
    Booking.objects.filter(pk=booking.pk).update(cancelled_at=NOON)
    assert send(client, booking, customer="Two Pines").status_code == 302
    assert Booking.objects.get(pk=booking.pk).customer == "Alder Creek fencing"


def test_a_mechanic_and_another_shop_may_not(client, counter, booking):
    client.force_login(factories.Mechanic(shop=counter.desk.shop))
    assert send(client, booking).status_code == 403
    client.force_login(factories.Person(role=Role.DESK))
    assert send(client, booking).status_code == 404


def priced(counter, value="700"):
    booking = counter.booking()
    Booking.objects.update(value=value)
    booking.machine.makeup.machine_class.__class__.objects.update(day_rate=100)
    booking.refresh_from_db()
    return booking


def test_longer_it_is_priced_anew_and_the_old_price_stays_on_record(client, counter):
    booking = priced(counter)
    send(client, booking, last_day=LAST + timedelta(days=1), value="$700.00")
    assert Booking.objects.get(pk=booking.pk).value == 800
    page = client.get(reverse("booking", args=[booking.pk])).text
    assert "Its price is $800.00, was $700.00." in page
    assert "<s>$700.00</s>, now $800.00" in page


def test_a_price_that_is_typed_is_the_price(client, counter):
    booking = priced(counter)
    send(client, booking, last_day=LAST + timedelta(days=1), value="750")
    assert Booking.objects.get(pk=booking.pk).value == 750


def test_two_who_change_one_booking_are_told_of_each_other(client, counter, booking):
    seen = seen_now(booking)
    send(client, booking, last_day=TODAY + timedelta(days=3), seen=seen)
    page = send(client, booking, customer="Two Pines", seen=seen)
    told = "Dee Wren changed this booking while you did: last day Thu 5 Mar, was Sun 8 Mar."
    assert told in page.text
    assert 'value="Two Pines"' in page.text
    again = seen_now(Booking.objects.get(pk=booking.pk))
    assert escape(again) in page.text
    send(client, booking, customer="Two Pines", seen=again)
    assert Booking.objects.get(pk=booking.pk).customer == "Two Pines"


def test_what_a_change_would_do_is_shown_before_it_is_made(client, counter, booking):
    other = counter.another()
    rule = factories.Interval(makeup=other.makeup)
    point = consequences.DuePoint(
        machine=other, service=rule.service, hard=True, p50=TODAY, p10=TODAY
    )
    consequences.Block(machine=other, hard=True, kind="limit", due_point=point)
    first = TODAY + timedelta(days=60)
    typed = {"machine": other.pk, "first_day": first, "last_day": first}
    page = send(client, booking, **typed)
    assert "Change it, with the work before" in page.text
    assert Booking.objects.get(pk=booking.pk).machine == counter.machine
    assert send(client, booking, **typed, sure="yes").status_code == 302
    assert Booking.objects.get(pk=booking.pk).machine == other


def test_times_can_be_given_and_a_bad_form_key_of_what_was_seen_is_no_error(client, booking):
    send(client, booking, from_time="7:30", to_time="5 pm", seen="[1, x")
    row = Booking.objects.get(pk=booking.pk)
    assert (row.from_time, row.to_time) == (time(7, 30), time(17))
    assert row.ends_at.hour == 17


@pytest.mark.parametrize(
    "typed",
    [
        {"first_day": "0001-01-01"}, {"last_day": "9999-12-31"}, {"last_day": "2020-01-01"},
        {"first_day": "9999-12-31", "last_day": "9999-12-31"}, {"first_day": "2026-02-30"},
        {"from_time": "25:00"}, {"first_day": "0001-01-01", "last_day": "0001-01-01"},
    ],
)  # fmt: skip
def test_bad_input_is_said_and_changes_nothing(client, booking, typed):
    assert send(client, booking, **typed).status_code == 200
    stands_as_it_was(booking)


@pytest.mark.parametrize("typed", [{"customer": "a\x00b"}, {"machine": "\x00"}])
def test_a_character_that_no_text_has_is_a_bad_request_and_changes_nothing(client, booking, typed):
    assert send(client, booking, **typed).status_code == 400
    stands_as_it_was(booking)


def stands_as_it_was(booking):
    row = Booking.objects.get(pk=booking.pk)
    assert (row.first_day, row.last_day, row.customer) == (TODAY, LAST, booking.customer)
