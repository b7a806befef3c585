"""The use that a desk names: kept on the booking, counted by the forecast, asked again with it."""

from datetime import date, timedelta

import pytest
from django.urls import reverse

from fleet.models import LoggedChange
from scheduling.due.refresh import refresh
from scheduling.forms.correct_booking_form import seen_now
from scheduling.models import DuePoint
from scheduling.queries.may_go_out import may_go_out
from tests import factories
from tests.factories import NOON, TODAY
from tests.scheduling.cases import steady
from tests.scheduling.counter_case import FINE, LAST, open_counter

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(client, monkeypatch):
    return open_counter(client, monkeypatch)


def likely_day(machine):
    """The middle day of its one service, worked out anew."""
    refresh({machine.pk}, NOON)
    return DuePoint.objects.get(machine=machine).p50


def test_a_forecast_counts_the_use_that_a_booking_says():
    """340 h at 4 h a day and due at 400 h: some 15 days; at 12 h a day some five days of hire."""
    machine = factories.Machine(started_on=date(2026, 1, 1))
    steady(machine)
    factories.Interval(makeup=machine.makeup, every=400.0)
    booking = factories.Booking(machine=machine, first_day=TODAY, last_day=date(2026, 3, 31))
    usual = likely_day(machine)
    booking.hours_a_day = 12.0
    booking.save()
    hard = likely_day(machine)
    booking.hours_a_day = 1.0
    booking.save()
    light = likely_day(machine)
    assert hard <= TODAY + timedelta(days=7) < usual - timedelta(days=3)
    assert light is None or light > usual + timedelta(days=7)


def test_asked_for_the_booking_the_use_is_not_counted_twice():
    machine = factories.Machine(started_on=date(2026, 1, 1))
    steady(machine)
    factories.Interval(makeup=machine.makeup, every=420.0)
    booking = factories.Booking(
        machine=machine, first_day=TODAY, last_day=date(2026, 3, 6), hours_a_day=12.0
    )
    day = likely_day(machine)
    until = may_go_out(machine, TODAY, booking.last_day, TODAY, but=booking)
    assert until.yes == (day > booking.last_day)
    more = may_go_out(machine, TODAY, booking.last_day, TODAY, but=booking, hours_a_day=24.0)
    assert more.chances[0].chance > until.chances[0].chance


def test_what_the_desk_asked_with_is_carried_to_the_booking_and_kept(case, client):
    asked = {"machine_class": case.machine.makeup.machine_class_id, "first_day": TODAY,
             "last_day": LAST, "hours_a_day": "7.5"}  # fmt: skip
    page = client.get(reverse("counter"), asked).text
    assert f"?first_day={TODAY}&amp;last_day={LAST}&amp;hours_a_day=7.5" in page
    address = reverse("counter-book", args=["Q-1"])
    form = client.get(address, {**asked, "machine_class": ""}).text
    assert 'value="7.5"' in form
    typed = {"customer": "Two Pines", "first_day": TODAY, "last_day": LAST, "form_key": "k1"}
    client.post(address, {**typed, "hours_a_day": "7.5"})
    booking = case.machine.bookings.get(first_day=TODAY)
    assert booking.hours_a_day == 7.5
    assert "<dt>Use a day</dt><dd>7.5 h</dd>" in client.get(booking_page(booking)).text


def booking_page(booking):
    return reverse("booking", args=[booking.pk])


def test_it_is_corrected_with_its_trace(case, client):
    booking = case.booking()
    typed = {"customer": booking.customer, "machine": booking.machine_id, "first_day": TODAY,
             "last_day": LAST, "hours_a_day": "9", "seen": seen_now(booking)}  # fmt: skip
    assert client.post(reverse("booking-correct", args=[booking.pk]), typed).status_code == 302
    booking.refresh_from_db()
    assert booking.hours_a_day == 9
    change = LoggedChange.objects.get(act="corrected")
    assert change.values == [{"field": "use a day, in hours", "old": "", "new": "9"}]


def test_a_check_out_keeps_what_was_said_then(case, client):
    booking = case.booking()
    booking.hours_a_day = 4.0
    booking.save()
    address = reverse("check-out", args=[booking.pk])
    assert 'value="4.0"' in client.get(address).text
    sent = {"form_key": "k1", "reading_hours": "110", "hours_a_day": "10", **FINE}
    client.post(address, sent)
    booking.refresh_from_db()
    assert booking.hours_a_day == 10
    assert booking.hand_overs.get().hours_a_day == 10
    assert LoggedChange.objects.get(kind="booking").reason == "said at the check-out"
