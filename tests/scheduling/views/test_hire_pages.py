"""Customers, hires and the box that finds them, as a desk sees them."""

import pytest
from django.urls import reverse

from fleet.models import Booking, Customer, Hire
from tests import factories
from tests.factories import TODAY
from tests.scheduling.counter_case import LAST, open_counter

pytestmark = pytest.mark.django_db
DAYS = {"first_day": TODAY.isoformat(), "last_day": LAST.isoformat()}


@pytest.fixture
def case(client, monkeypatch):
    return open_counter(client, monkeypatch)


def book(client, tag="Q-1", query="", **more):
    typed = {"customer": "Two Pines", "form_key": f"k-{tag}", **DAYS}
    address = reverse("counter-book", args=[tag]) + query
    return client.post(address, typed | more, follow=True).content.decode()


def theirs():
    return Booking.objects.get(customer="Two Pines")


class TestBook:
    def test_what_is_said_beside_it_is_kept(self, case, client):
        text = book(client, phone="555 0101", mail="t@example.org", site="Mill", notes="two keys")
        assert "555 0101" in text
        assert "two keys" in text
        assert theirs().hire.customer.mail == "t@example.org"

    def test_another_number_of_a_known_name_is_asked_about(self, case, client):
        factories.Customer(name="Two Pines", phone="555 0101")
        text = book(client, phone="555 0202")
        assert "Somebody else of that name" in text
        assert not Booking.objects.filter(customer="Two Pines").exists()
        book(client, phone="555 0202", same="another")
        assert Customer.objects.filter(key="twopines").count() == 2

    def test_who_walks_in_is_led_straight_to_the_check_out(self, case, client):
        assert "check it out now" in client.get(reverse("counter-book", args=["Q-1"])).text
        text = book(client, then="out")
        assert "Q-1 may go out until" in text
        assert "What the meter shows" in text

    def test_a_ranch_job_has_no_customer(self, case, client):
        text = book(client, in_house="on")
        assert "ranch job" in text
        assert theirs().hire.customer is None

    @pytest.mark.parametrize(
        ("typed", "sentence"),
        [
            ({"mail": "no address"}, "no mail address"),
            ({"phone": "5" * 41}, "at most 40 characters"),
            ({"notes": "x" * 501}, "at most 500 characters"),
            ({"same": "both"}, "Select a valid choice"),
        ],
    )
    def test_bad_input_is_said_and_nothing_is_booked(self, case, client, typed, sentence):
        assert sentence in book(client, **typed)
        assert not Booking.objects.filter(customer="Two Pines").exists()

    def test_names_are_offered_while_one_is_typed(self, case, client):
        case.booking()
        text = client.get(reverse("customers-known"), {"customer": "alder"}).content.decode()
        assert '<option value="Alder Creek fencing">' in text
        whole = {"customer": "alder creek  fencing"}
        text = client.get(reverse("customers-known"), whole).content.decode()
        assert "The same customer as on" in text


class TestHire:
    def test_another_machine_is_added_by_one_press_for_the_same_customer(self, case, client):
        case.another()
        book(client)
        hire = theirs().hire
        page = client.get(reverse("hire", args=[hire.pk]))
        asked = {"machine_class": case.machine.makeup.machine_class_id, **DAYS}
        text = client.get(reverse("hire", args=[hire.pk]), asked).content.decode()
        other = factories.models.Machine.objects.exclude(tag="Q-1").get()
        assert f"Add {other.tag}" in text
        sent = DAYS | {"tag": other.tag, "form_key": page.context["form_key"]}
        for _ in range(2):
            client.post(reverse("hire-add", args=[hire.pk]), sent)
        assert hire.bookings.count() == 2
        assert set(hire.bookings.values_list("customer", flat=True)) == {"Two Pines"}
        text = client.get(reverse("hire", args=[hire.pk])).content.decode()
        assert "2 to go out" in text
        assert "In all $700" in text

    def test_the_booking_form_keeps_the_customer(self, case, client):
        other = case.another()
        book(client)
        hire = theirs().hire
        query = f"?hire={hire.pk}"
        page = client.get(reverse("counter-book", args=[other.tag]) + query).content.decode()
        assert 'name="customer"' not in page
        book(client, other.tag, query, customer="")
        assert hire.bookings.count() == 2

    @pytest.mark.parametrize("number", ["x", "99999", "-1", "9" * 40, "²"])
    def test_a_hire_that_is_not_there_asks_for_the_customer(self, case, client, number):
        page = client.get(reverse("counter-book", args=["Q-1"]) + f"?hire={number}")
        assert 'name="customer"' in page.content.decode()

    def test_a_machine_that_is_taken_is_refused_in_a_sentence(self, case, client):
        hire = case.booking().hire
        sent = DAYS | {"tag": "Q-1"}
        page = client.post(reverse("hire-add", args=[hire.pk]), sent, follow=True)
        assert "Alder Creek fencing" in page.content.decode()
        assert hire.bookings.count() == 1

    def test_another_shop_does_not_see_it(self, case, client):
        hire = factories.Booking().hire
        for name in ("hire", "hire-add", "hire-correct"):
            address = reverse(name, args=[hire.pk])
            answer = client.get(address) if name == "hire" else client.post(address)
            assert answer.status_code == 404

    def test_site_and_notes_are_put_right(self, case, client):
        hire = case.booking().hire
        client.post(reverse("hire-correct", args=[hire.pk]), {"site": "Creek"})
        assert Hire.objects.get(pk=hire.pk).site == "Creek"


class TestCustomer:
    def test_the_page_has_bookings_past_and_to_come(self, case, client):
        customer = case.booking().hire.customer
        text = client.get(reverse("customer", args=[customer.pk])).content.decode()
        assert "1 machine booked now or to come; 1 before." in text
        assert customer.name in client.get(reverse("customers")).content.decode()

    def test_it_is_put_right(self, case, client):
        booking = case.booking()
        address = reverse("customer-correct", args=[booking.hire.customer_id])
        client.post(address, {"name": "Alder Creek", "why": "short"})
        booking.refresh_from_db()
        assert booking.customer == "Alder Creek"
        assert "Say what the customer is called" in client.post(address).content.decode()

    def test_two_entries_become_one_and_the_other_leads_to_it(self, case, client):
        customer = case.booking().hire.customer
        other = factories.Customer(name="Alder Creek")
        page = client.get(reverse("customer", args=[customer.pk])).content.decode()
        assert f'value="{other.pk}"' in page
        client.post(reverse("customer-merge", args=[customer.pk]), {"other": other.pk})
        led = client.get(reverse("customer", args=[other.pk]))
        assert led.url == reverse("customer", args=[customer.pk])


class TestFind:
    def test_the_box_is_on_the_desk_s_pages_and_finds(self, case, client):
        booking = case.booking()
        assert 'role="search"' in client.get(reverse("counter")).content.decode()
        text = client.get(reverse("find"), {"q": "alder"}).content.decode()
        assert "1 customer, 2 bookings found." in text
        assert reverse("booking", args=[booking.pk]) in text

    def test_nothing_found_is_said(self, case, client):
        text = client.get(reverse("find"), {"q": "nobody"}).content.decode()
        assert "Nothing here is called nobody." in text


@pytest.mark.parametrize("page", ["find", "customers", "customers-known"])
def test_a_mechanic_has_no_customers(case, client, page):
    client.force_login(factories.Mechanic(shop=case.desk.shop))
    assert client.get(reverse(page)).status_code == 403
    assert 'role="search"' not in client.get(reverse("bench")).content.decode()
