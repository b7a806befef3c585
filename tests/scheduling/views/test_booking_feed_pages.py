"""Calendars of bookings by secret address: made, read by a calendar program, closed."""

from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse
from icalendar import Calendar

from fleet.actions.make_bookings import call_off
from fleet.models import FeedKey, LoggedChange
from fleet.queries.feed_holders import feed_token
from tests import factories
from tests.factories import NOON, TODAY
from tests.pages import words
from tests.scheduling.counter_case import open_counter

pytestmark = pytest.mark.django_db

PAGE = "/counter/feeds/"


@pytest.fixture
def case(client, monkeypatch):
    return open_counter(client, monkeypatch)


@pytest.fixture
def make(client, case):
    def made(of="desk", tag=""):
        place = case.machine.yard if of == "yard" else case.desk.shop
        answer = client.post(PAGE, {"of": f"{of}-{place.pk}", "tag": tag})
        assert answer.status_code == 302
        return FeedKey.objects.latest("pk")

    return made


def read(key):
    """Read a feed as a program does that is not signed in."""
    answer = Client().get(reverse("booking-feed", args=[feed_token(key)]))
    return answer, [dict(one) for one in Calendar.from_ical(answer.content).walk("VEVENT")]


def test_the_desks_calendar_shows_each_booking_over_its_days(case, make):
    booking = case.booking()
    answer, events = read(make())
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    event = next(one for one in events if one["DTSTART"].dt == TODAY)
    assert event["DTEND"].dt == date(2026, 3, 9)
    assert event["SUMMARY"] == "Q-1: Alder Creek fencing"
    assert str(event["URL"]).endswith(reverse("booking", args=[booking.pk]))
    assert (event["STATUS"], event["DTSTAMP"].dt) == ("CONFIRMED", booking.made_at)
    assert len(events) == 2  # the one that is over too


def test_a_yards_and_a_machines_calendar_show_their_own(case, make):
    case.booking()
    far = factories.Machine(tag="Q-2", yard__shop=case.desk.shop)
    factories.Booking(machine=far)
    strange = factories.Booking()
    tags = {
        name: {one["SUMMARY"].partition(":")[0] for one in read(key)[1]}
        for name, key in [("desk", make()), ("yard", make("yard")), ("Q-2", make(tag="q-2"))]
    }
    assert tags == {"desk": {"Q-1", "Q-2"}, "yard": {"Q-1"}, "Q-2": {"Q-2"}}
    assert strange.machine.tag not in tags["desk"]


def test_a_booking_that_changes_is_the_same_event_revised(case, make):
    booking, key = case.booking(), make()
    before = next(one for one in read(key)[1] if one["DTSTART"].dt == TODAY)
    call_off(booking, by=case.desk, now=NOON + timedelta(hours=1))
    after = next(one for one in read(key)[1] if one["DTSTART"].dt == TODAY)
    assert after["UID"] == before["UID"]
    assert after["STATUS"] == "CANCELLED"
    assert after["SEQUENCE"] > before["SEQUENCE"]
    assert after["DTSTAMP"].dt == NOON + timedelta(hours=1)


def test_the_same_bookings_give_the_same_bytes_and_are_not_sent_again(case, make):
    case.out()
    key = make()
    first, _ = read(key)
    assert read(key)[0].content == first.content
    again = Client().get(
        reverse("booking-feed", args=[feed_token(key)]), HTTP_IF_NONE_MATCH=first["ETag"]
    )
    assert again.status_code == 304


def test_two_presses_make_one_address(make):
    assert make() == make()
    assert FeedKey.objects.count() == 1


def test_a_closed_address_is_just_not_there_and_a_new_one_is_another(client, case, make):
    key = make()
    client.post(reverse("booking-feed-close", args=[key.pk]))
    address = reverse("booking-feed", args=[feed_token(key)])
    assert Client().get(address).status_code == 404
    assert feed_token(make()) != feed_token(key)
    logged = LoggedChange.objects.filter(kind="calendar address").order_by("pk")
    assert [one.act for one in logged] == ["made", "revoked", "made"]


@pytest.mark.parametrize("token", ["x", "x.y", "a" * 500, "é.ü"])
def test_a_forged_address_is_not_there(case, token):
    assert Client().get(reverse("booking-feed", args=[token])).status_code == 404


def test_the_word_without_its_signature_opens_nothing(make):
    key = make()
    assert Client().get(reverse("booking-feed", args=[key.word])).status_code == 404


def test_addresses_of_another_shop_are_neither_seen_nor_closed(client, case, make):
    key = make()
    client.force_login(factories.Person(role="desk"))
    assert feed_token(key) not in client.get(PAGE).text
    assert client.post(reverse("booking-feed-close", args=[key.pk])).status_code == 404


def test_a_machine_that_is_not_here_is_said(client, case):
    answer = client.post(PAGE, {"of": f"desk-{case.desk.shop_id}", "tag": "nope"})
    assert "There is no machine of that tag here." in words(answer)


def test_a_mechanic_has_none(client, case):
    client.force_login(factories.Mechanic())
    assert client.get(PAGE).status_code == 403


def test_the_page_is_linked_and_shows_the_address(client, case, make):
    key = make()
    assert feed_token(key) in client.get(PAGE).text
    assert PAGE in client.get(reverse("counter-calendar")).text


def test_queries_do_not_grow_with_bookings(case, make, django_assert_num_queries):
    key = make()
    address = reverse("booking-feed", args=[feed_token(key)])
    for n in range(12):
        first = date(2026, 4, 1) + timedelta(days=7 * n)
        case.booking(first=first, last=first)
    with django_assert_num_queries(5):
        assert Client().get(address).status_code == 200
