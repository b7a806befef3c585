"""Booking a machine, and the booking's own page."""

from datetime import date

import pytest
from django.urls import reverse

from fleet.models import Booking, LoggedChange, Override, Shop
from scheduling.models import Block
from tests import consequences, factories
from tests.factories import NOON, TODAY
from tests.scheduling.counter_case import LAST, open_counter

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(client, monkeypatch):
    return open_counter(client, monkeypatch)


@pytest.fixture
def send(case, client):
    def sent(**more):
        typed = {
            "customer": "Two Pines", "first_day": TODAY.isoformat(), "last_day": LAST.isoformat(),
            "value": "480", "form_key": "k1",
        }  # fmt: skip
        return client.post(reverse("counter-book", args=["Q-1"]), typed | more)

    return sent


def theirs():
    return Booking.objects.filter(customer="Two Pines")


class TestBook:
    def test_the_form_knows_the_days_and_the_value(self, case, client):
        page = client.get("/counter/book/Q-1/?first_day=2026-03-03&last_day=2026-03-05")
        text = page.content.decode()
        assert "Q-1 may go out from Tue 3 Mar to Thu 5 Mar." in text
        assert 'value="300' in text  # three days at the class's 100 a day

    def test_days_that_make_no_sense_in_the_address_become_today(self, case, client):
        page = client.get("/counter/book/Q-1/?first_day=soon&last_day=2020-01-01")
        assert "Q-1 may go out today." in page.content.decode()

    def test_it_is_booked_and_leads_to_its_page(self, case, send):
        answer = send()
        booking = theirs().get()
        assert answer.url == reverse("booking", args=[booking.pk])
        assert (booking.made_by, booking.value) == (case.desk, 480)

    def test_pressed_twice_it_is_booked_once(self, send):
        assert send().url == send().url
        assert theirs().count() == 1

    def test_two_desks_at_once_and_one_is_told_nothing_typed_lost(self, send):
        send()
        text = send(form_key="k2", customer="Late Comer").content.decode()
        assert "booked for Two Pines" in text
        assert 'value="Late Comer"' in text

    def test_against_a_soft_block_the_reason_is_asked_for_and_kept(self, case, send):
        consequences.Block(machine=case.machine)
        text = send().content.decode()
        assert "say why it goes out anyway" in text
        assert 'name="reason"' in text
        send(reason="serviced by their own shop")
        assert Override.objects.get().by == case.desk

    def test_where_managers_alone_decide_no_reason_of_the_desk_will_do(self, case, send, client):
        consequences.Block(machine=case.machine)
        Shop.objects.update(overrules=Shop.Overrules.MANAGER)
        text = send(reason="serviced by their own shop").content.decode()
        assert "a manager alone decides against that" in text
        assert not theirs().exists()
        client.force_login(factories.Person(role="manager", shop=case.desk.shop))
        send(reason="serviced by their own shop")
        assert Override.objects.get().seen_at is None

    def test_a_manager_sees_once_what_was_decided_against_a_block(self, case, send, client):
        consequences.Block(machine=case.machine)
        send(reason="serviced by their own shop")
        row = Override.objects.get()
        url = reverse("override-seen", args=[row.pk])
        assert client.post(url).status_code == 403
        client.force_login(factories.Person(role="manager", shop=case.desk.shop))
        assert "serviced by their own shop" in client.get(reverse("yard")).text
        for _ in range(2):
            client.post(url)
        assert "serviced by their own shop" not in client.get(reverse("yard")).text
        assert LoggedChange.objects.filter(act="seen").count() == 1
        client.force_login(factories.Person(role="manager"))
        assert client.post(url).status_code == 404

    def test_two_halves_of_a_day_go_to_two_customers(self, case, send):
        day = {"first_day": LAST.isoformat(), "last_day": LAST.isoformat()}
        send(**day, to_time="half day", value="$1,200")
        send(**day, from_time="from 12:00", form_key="k2")
        text = send(**day, from_time="11 am", form_key="k3").content.decode()
        assert "booked for Two Pines" in text
        assert 'value="11 am"' in text
        assert [str(row.to_time or row.from_time) for row in theirs()] == ["12:00:00"] * 2

    @pytest.mark.parametrize("kind", [Block.Kind.HOLD, Block.Kind.LIMIT])
    def test_a_forged_reason_does_not_open_a_hard_block(self, case, send, kind):
        consequences.Block(machine=case.machine, kind=kind, hard=True, due_point=None)
        text = send(reason="let it out whatever").content.decode()
        assert "may not go out" in text
        assert not theirs().exists()
        assert not Override.objects.exists()

    @pytest.mark.parametrize(
        ("typed", "sentence"),
        [
            ({"customer": " "}, "Say for whom the machine is."),
            ({"customer": "x" * 121}, "at most 120 characters"),
            ({"first_day": ""}, "Say from which day."),
            ({"last_day": "32.3."}, "not a day of the calendar"),
            ({"first_day": "2026-02-01"}, "That day is past"),
            ({"last_day": "2026-03-01"}, "before the first"),
            ({"value": "lots"}, "Write the value in digits"),
            ({"value": "-5"}, "below zero"),
            ({"value": "123456789012"}, "more than a booking can be worth"),
            ({"value": "1.234"}, "two places"),
            ({"reason": "x" * 301}, "at most 300 characters"),
            ({"form_key": "x" * 99}, "at most 40 characters"),
        ],
    )
    def test_bad_input_is_said_at_its_field_and_nothing_is_booked(self, send, typed, sentence):
        assert sentence in send(**typed).content.decode()
        assert not theirs().exists()


class TestBookingPage:
    def test_it_tells_the_promise_and_what_happened(self, case, client):
        booking = case.out()
        text = client.get(reverse("booking", args=[booking.pk])).content.decode()
        assert "Alder Creek fencing: out, back" in text
        assert "Went out" in text
        assert "with Dee Wren" in text

    def test_the_last_day_is_moved_and_stays_on_record(self, case, client):
        booking = case.booking()
        moved = {"last_day": "2026-03-10", "reason": "rain"}
        client.post(reverse("booking-last-day", args=[booking.pk]), moved)
        booking.refresh_from_db()
        assert booking.last_day == date(2026, 3, 10)
        assert booking.changes.get().reason == "rain"
        text = client.get(reverse("booking", args=[booking.pk])).content.decode()
        assert "Last day moved" in text

    @pytest.mark.parametrize(
        ("typed", "sentence"),
        [
            ({"last_day": ""}, "Say until which day."),
            ({"last_day": "never"}, "not a day of the calendar"),
            ({"last_day": "2026-03-01"}, "before today or the first day"),
            ({"last_day": "2026-03-10", "reason": "x" * 121}, "at most 120 characters"),
        ],
    )
    def test_a_bad_last_day_is_said_and_moves_nothing(self, case, client, typed, sentence):
        booking = case.booking()
        page = client.post(reverse("booking-last-day", args=[booking.pk]), typed)
        assert sentence in page.content.decode()
        booking.refresh_from_db()
        assert booking.last_day == LAST

    def test_it_is_called_off_once(self, case, client):
        booking = case.booking()
        for _ in range(2):
            client.post(reverse("booking-off", args=[booking.pk]))
        booking.refresh_from_db()
        assert booking.cancelled_at == NOON
        text = client.get(reverse("booking", args=[booking.pk])).content.decode()
        assert "called off" in text

    def test_its_last_day_moved_from_a_page_left_open_says_that_it_is_off(self, case, client):
        booking = case.booking()
        client.post(reverse("booking-off", args=[booking.pk]))
        moved = {"last_day": "2026-03-10"}
        address = reverse("booking-last-day", args=[booking.pk])
        text = client.post(address, moved, follow=True).content.decode()
        assert "This booking was called off" in text
        booking.refresh_from_db()
        assert booking.last_day == LAST

    def test_one_that_is_out_is_not_called_off(self, case, client):
        booking = case.out()
        page = client.post(reverse("booking-off", args=[booking.pk]), follow=True)
        assert "take it back instead" in page.content.decode()


PAGES = ["booking", "booking-last-day", "booking-off", "check-out", "check-in"]


class TestWhoMay:
    @pytest.mark.parametrize("page", PAGES)
    def test_a_mechanic_may_not(self, case, client, page):
        url = reverse(page, args=[case.booking().pk])
        client.force_login(factories.Mechanic(shop=case.desk.shop))
        assert client.get(url).status_code == client.post(url).status_code == 403

    @pytest.mark.parametrize("page", PAGES)
    def test_signed_out_means_sign_in_first(self, case, client, page):
        url = reverse(page, args=[case.booking().pk])
        client.logout()
        assert client.get(url).url.startswith(reverse("sign-in"))

    @pytest.mark.parametrize("page", PAGES)
    def test_what_is_missing_or_of_another_shop_is_not_found(self, case, client, page):
        for pk in (99999, factories.Booking().pk):
            url = reverse(page, args=[pk])
            codes = {client.get(url).status_code, client.post(url).status_code}
            assert codes <= {404, 405}

    def test_a_machine_that_is_missing_or_of_another_shop_is_not_found(self, case, client):
        for tag in ("NO-1", factories.Machine().tag):
            assert client.get(reverse("counter-book", args=[tag])).status_code == 404

    def test_what_changes_something_is_never_a_link(self, case, client):
        booking = case.booking()
        for page in ("booking-off", "booking-last-day"):
            assert client.get(reverse(page, args=[booking.pk])).status_code == 405
        assert client.post(reverse("booking", args=[booking.pk])).status_code == 405
        assert client.put(reverse("check-out", args=[booking.pk])).status_code == 405
