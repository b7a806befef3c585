"""Classes without a machine, and the wait list, as a desk sees them."""

from datetime import time

import pytest
from django.urls import reverse

from fleet.models import Booking, ClassLine, Waiting
from tests import factories
from tests.factories import TODAY
from tests.scheduling.counter_case import LAST, open_counter

pytestmark = pytest.mark.django_db
DAYS = {"first_day": TODAY.isoformat(), "last_day": LAST.isoformat()}


@pytest.fixture
def case(client, monkeypatch):
    return open_counter(client, monkeypatch)


@pytest.fixture
def asked(case):
    machine = case.machine
    of = {"machine_class": machine.makeup.machine_class_id, "yard": machine.yard_id}
    return DAYS | of | {"form_key": "k1"}


@pytest.fixture
def line(case, client, asked):
    hire = factories.Booking(machine__yard=case.machine.yard, customer="Two Pines").hire
    client.post(reverse("hire-add-class", args=[hire.pk]), asked)
    return ClassLine.objects.get()


class TestClass:
    def test_it_is_on_the_hire_and_on_the_counter_until_its_machine_is_chosen(self, line, client):
        hire = client.get(reverse("hire", args=[line.hire_id])).content.decode()
        assert "Any Quad" in hire
        assert "no machine chosen yet" in hire
        day = client.get(reverse("counter")).content.decode()
        assert "1 class booking goes out today without a machine yet." in day
        page = client.get(reverse("class-line", args=[line.pk])).content.decode()
        assert "Q-1 is the best of 1 that may go" in page
        client.post(reverse("class-line", args=[line.pk]), {"tag": "Q-1"})
        assert line.hire.bookings.filter(machine__tag="Q-1").exists()
        assert "without a machine yet" not in client.get(reverse("counter")).content.decode()

    def test_the_counter_says_how_many_are_promised(self, line, client, asked):
        text = client.get(reverse("counter"), asked).content.decode()
        assert "1 of them is wanted by bookings of the class alone: none left." in text

    def test_the_second_of_one_is_refused_and_said(self, line, client, asked):
        address = reverse("hire-add-class", args=[line.hire_id])
        page = client.post(address, asked | {"form_key": "k2"}, follow=True)
        assert "none is left" in page.content.decode()

    @pytest.mark.parametrize(
        ("typed", "sentence"),
        [
            ({"last_day": "never"}, "not a day of the calendar"),
            ({"machine_class": "99999"}, "no such class"),
            ({"yard": "x"}, "no such yard"),
        ],
    )
    def test_bad_input_is_said(self, line, client, asked, typed, sentence):
        address = reverse("hire-add-class", args=[line.hire_id])
        page = client.post(address, asked | typed, follow=True)
        assert sentence in page.content.decode()

    def test_it_is_called_off(self, line, client):
        client.post(reverse("class-line-off", args=[line.pk]))
        line.refresh_from_db()
        assert line.cancelled_at
        assert client.get(reverse("class-line", args=[line.pk])).status_code == 404


class TestWaits:
    def put(self, client, asked, **more):
        typed = asked | {"customer": "Two Pines"} | more
        return client.post(reverse("wait"), typed, follow=True).content.decode()

    def test_somebody_is_put_on_it_booked_and_off_again(self, case, client, asked):
        text = self.put(client, asked, phone="555 0101", tag="q-1", note="calls at noon")
        assert "something is free for 1" in text
        row = Waiting.objects.get()
        assert row.machine == case.machine
        assert "1 waits for a machine" in client.get(reverse("counter")).content.decode()
        client.post(reverse("wait-book", args=[row.pk]), {"tag": "Q-1"})
        assert Booking.objects.filter(customer="Two Pines").exists()
        assert "Nobody waits." in client.get(reverse("waits")).content.decode()

    def test_it_is_taken_off_once(self, client, asked):
        self.put(client, asked)
        row = Waiting.objects.get()
        for _ in range(2):
            client.post(reverse("wait-off", args=[row.pk]))
        row.refresh_from_db()
        assert row.over_at

    def test_the_address_fills_the_form(self, case, client, asked):
        customer = factories.Customer(name="Two Pines")
        page = client.get(reverse("wait"), asked | {"customer": customer.pk})
        assert 'value="Two Pines"' in page.content.decode()

    @pytest.mark.parametrize(
        ("typed", "sentence"),
        [
            ({"tag": "nothing"}, "No machine here carries that tag"),
            ({"customer": ""}, "Say for whom"),
            ({"last_day": "2026-03-01"}, "before the first"),
            ({"yard": ""}, "This field is required"),
        ],
    )
    def test_bad_input_is_said(self, case, client, asked, typed, sentence):
        assert sentence in self.put(client, asked, **typed)
        assert not Waiting.objects.exists()

    def test_another_shop_does_not_see_it(self, case, client, asked):
        self.put(client, asked)
        row = Waiting.objects.get()
        client.force_login(factories.Person(role="desk"))
        assert "Nobody waits." in client.get(reverse("waits")).content.decode()
        assert client.post(reverse("wait-off", args=[row.pk])).status_code == 404


class TestChanges:
    def test_a_class_line_is_changed_called_off_and_called_back_in(self, line, client, asked):
        sent = asked | {"last_day": TODAY.isoformat(), "value": "90", "why": "one day alone"}
        client.post(reverse("class-line-change", args=[line.pk]), sent)
        page = client.get(reverse("class-line", args=[line.pk])).text
        assert "one day alone" in page
        line.refresh_from_db()
        assert (line.last_day, line.value) == (TODAY, 90)
        client.post(reverse("class-line-off", args=[line.pk]))
        hire = reverse("hire", args=[line.hire_id])
        assert "Call it back in" in client.get(hire).text
        client.post(reverse("class-line-back-in", args=[line.pk]))
        line.refresh_from_db()
        assert line.cancelled_at is None

    def test_the_page_of_the_last_machine_says_that_it_is_promised(self, line, client):
        text = client.get(reverse("counter-book", args=["Q-1"])).text
        assert "1 of this class is promised without a machine yet; none is left." in text
        assert 'name="reason"' in text

    def test_a_wait_is_changed_and_put_back(self, client, asked):
        client.post(reverse("wait"), asked | {"customer": "Two Pines"})
        row = Waiting.objects.get()
        sent = asked | {"last_day": TODAY.isoformat(), "note": "any colour"}
        client.post(reverse("wait-change", args=[row.pk]), sent)
        row.refresh_from_db()
        assert (row.last_day, row.note) == (TODAY, "any colour")
        client.post(reverse("wait-off", args=[row.pk]))
        assert "Taken off in the last week" in client.get(reverse("waits")).text
        client.post(reverse("wait-back", args=[row.pk]))
        row.refresh_from_db()
        assert row.over_at is None
        page = client.get(reverse("wait-change", args=[row.pk])).text
        assert "put back on the wait list" in page.lower()


class TestByTheHour:
    TIMES = {"first_day": LAST.isoformat(), "last_day": LAST.isoformat(), "from_time": "8:00",
             "to_time": "half day"}  # fmt: skip

    def test_a_class_is_promised_shown_and_changed_with_its_times(self, case, client, asked):
        hire = factories.Booking(machine__yard=case.machine.yard, customer="Two Pines").hire
        page = client.get(reverse("hire", args=[hire.pk]), asked | self.TIMES).content.decode()
        assert '<input type="hidden" name="to_time" value="12:00">' in page
        client.post(reverse("hire-add-class", args=[hire.pk]), asked | self.TIMES)
        line = ClassLine.objects.get()
        text = client.get(reverse("hire", args=[hire.pk])).content.decode()
        assert "Sun 8 Mar, 08:00 to 12:00" in text
        right = asked | self.TIMES | {"to_time": "13:00"}
        client.post(reverse("class-line-change", args=[line.pk]), right)
        line.refresh_from_db()
        assert f"{line.to_time:%H:%M}" == "13:00"
        client.post(reverse("class-line", args=[line.pk]), {"tag": "Q-1"})
        assert f"{Booking.objects.get(machine__tag='Q-1', hire=hire).to_time:%H:%M}" == "13:00"

    def test_a_machine_is_added_to_a_hire_with_its_times(self, case, client):
        hire = factories.Booking(machine__yard=case.machine.yard, customer="Two Pines").hire
        sent = self.TIMES | {"tag": "Q-1", "form_key": "k"}
        client.post(reverse("hire-add", args=[hire.pk]), sent)
        added = Booking.objects.get(machine__tag="Q-1", hire=hire)
        assert (f"{added.from_time:%H:%M}", f"{added.to_time:%H:%M}") == ("08:00", "12:00")
        backwards = sent | {"from_time": "14:00", "form_key": "k2"}
        page = client.post(reverse("hire-add", args=[hire.pk]), backwards, follow=True)
        assert "before it goes out" in page.content.decode()

    def test_who_waits_for_a_morning_is_served_beside_a_booked_afternoon(self, case, client, asked):
        factories.Booking(machine=case.machine, first_day=LAST, last_day=LAST, from_time=time(13))
        whole = asked | {"first_day": LAST.isoformat(), "last_day": LAST.isoformat()}
        client.post(reverse("wait"), whole | {"customer": "Two Pines", "form_key": "w1"})
        assert "nothing is free" in client.get(reverse("waits")).content.decode()
        morning = whole | self.TIMES | {"customer": "Mill", "form_key": "w2"}
        client.post(reverse("wait"), morning)
        text = client.get(reverse("waits")).content.decode()
        assert "something is free for 1" in text
        assert "Sun 8 Mar, 08:00 to 12:00" in text
        row = Waiting.objects.get(customer__name="Mill")
        client.post(reverse("wait-book", args=[row.pk]), {"tag": "Q-1"})
        assert f"{Booking.objects.get(customer='Mill').to_time:%H:%M}" == "12:00"

    def test_a_machine_of_a_hire_is_late_by_its_time_not_its_day_alone(self, case, client):
        booking = case.out(last=TODAY)
        page = reverse("hire", args=[booking.hire_id])
        assert "past its time" not in client.get(page).content.decode()
        Booking.objects.filter(pk=booking.pk).update(to_time=time(11))  # it is noon
        assert "1 past its time" in client.get(page).content.decode()
