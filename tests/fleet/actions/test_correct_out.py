"""A booking that is out put right: its days and times, and the machine that really went."""

from datetime import time, timedelta

import pytest
from django.urls import reverse

from fleet.actions.correct_bookings import BookingCorrection, correct_booking
from fleet.actions.correct_out import correct_machine_out
from fleet.actions.follow_zone import follow_zone
from fleet.actions.hand_over import WalkRound, check_in, check_out
from fleet.models import Booking, HandOver, Override, Yard
from fleet.refusal import Refusal
from tests import factories
from tests.factories import NOON, TODAY
from tests.scheduling.counter_case import LAST, open_counter

pytestmark = pytest.mark.django_db
DAY, HOUR = timedelta(days=1), timedelta(hours=1)


@pytest.fixture
def case(client, monkeypatch):
    return open_counter(client, monkeypatch)


def test_days_and_times_of_what_is_out_are_put_right(case):
    booking = case.out()
    right = BookingCorrection(
        case.machine, TODAY, LAST - DAY, booking.customer, to_time=time(17)
    )  # fmt: skip
    row = correct_booking(booking, right, why="misheard", by=case.desk, now=NOON + HOUR)
    assert (row.last_day, row.ends_at) == (LAST - DAY, NOON + 5 * DAY + 5 * HOUR)
    check_in(booking, WalkRound(), by=case.desk, now=NOON + DAY)
    with pytest.raises(Refusal, match="is back from this booking"):
        correct_booking(booking, right, why="", by=case.desk, now=NOON + DAY)


def test_the_machine_that_really_went_takes_booking_and_check_out(case, client):
    booking, other = case.out(), case.another()
    factories.Reading(meter=case.meter, value=105.0, read_at=NOON)
    seen = HandOver.objects.get()
    seen.readings.add(case.meter.readings.get(value=105.0))
    page = client.get(reverse("booking", args=[booking.pk])).text
    assert "this one never went" in page
    typed = {"customer": booking.customer, "machine": other.pk, "first_day": TODAY,
             "last_day": LAST, "reason": "wrong tag"}  # fmt: skip
    assert client.post(reverse("booking-correct", args=[booking.pk]), typed).status_code == 302
    booking = Booking.objects.get(pk=booking.pk)
    assert booking.machine == other
    row = booking.hand_overs.get()
    assert (row.at, row.corrects, row.readings.count()) == (NOON, seen, 0)
    assert case.meter.readings.filter(void=True).exists()
    check_out(case.booking(), WalkRound(), by=case.desk, now=NOON + HOUR)  # it is here, and may go


def test_one_that_is_out_itself_cannot_have_gone(case):
    booking, other = case.out(), case.another()
    elsewhere = factories.Booking(machine=other, first_day=TODAY, last_day=TODAY)
    check_out(elsewhere, WalkRound(), by=case.desk, now=NOON)
    with pytest.raises(Refusal, match="was out with"):
        correct_machine_out(booking, other, why="wrong tag", by=case.desk, now=NOON + HOUR)
    with pytest.raises(Refusal, match="Say why"):
        correct_machine_out(booking, case.another(), why=" ", by=case.desk, now=NOON + HOUR)


def test_a_yard_whose_zone_is_put_right_has_its_bookings_at_other_moments(case):
    booking, yard = case.booking(first=TODAY + DAY), case.machine.yard
    before = Yard.objects.get(pk=yard.pk)
    yard.time_zone = "America/Denver"
    yard.save()
    follow_zone(before, yard)
    booking.refresh_from_db()
    assert booking.starts_at == NOON + 19 * HOUR  # midnight there is 07:00 UTC


def test_the_machine_s_page_tells_who_sent_it_out_against_what(case, client):
    booking = case.booking()
    Override.objects.create(
        booking=booking, machine=case.machine, against="oil service overdue",
        reason="a short hire", by=case.desk, at=NOON,
    )  # fmt: skip
    page = client.get(case.machine.get_absolute_url()).text
    assert "Let go against a block" in page
    assert "Oil service overdue" in page
    assert "a short hire" in page
