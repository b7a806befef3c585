"""Somebody walks in: who, what, until when, reading, walk-round, signature, out; from one page."""

import re
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from fleet.actions.undo_acts import undo_act
from fleet.models import Booking, HandOver, HandOverPhoto, Hold, Override, Reading
from fleet.queries.last_act import last_act
from fleet.walk_round_library import general_points
from tests import consequences, factories
from tests.factories import NOON, TODAY
from tests.fleet.test_photo_files import picture
from tests.pages import words
from tests.scheduling.counter_case import FINE, LAST, open_counter

pytestmark = pytest.mark.django_db
OUT = {
    "do": "out", "sheet": "Q-1", "tag": "Q-1", "customer": "Two Pines", "form_key": "k1",
    "last_day": LAST.isoformat(), "reading_hours": "110", "taken_by": "Hal", **FINE,
}  # fmt: skip


@pytest.fixture
def case(client, monkeypatch, settings, tmp_path):
    settings.PHOTOS = tmp_path
    return open_counter(client, monkeypatch)


def send(client, **more):
    return client.post(reverse("walk-in"), OUT | more)


def theirs():
    return Booking.objects.filter(customer="Two Pines")


def test_a_class_and_a_day_bring_the_sheet_of_the_best_machine(case, client):
    page = client.get(reverse("walk-in"))
    assert "Say which class or machine, and until when." in page.text
    asked = {"machine_class": case.machine.makeup.machine_class_id, "last_day": LAST.isoformat()}
    page = client.get(reverse("walk-in"), asked)
    assert "Q-1 may go out from today to Sun 8 Mar" in words(page)
    assert "Hour meter shows" in page.text
    assert re.search(r'name="tag" value="Q-1"', page.text)
    assert re.search(r"<option value=.\d+. selected>Quad", page.text)
    assert "By its day rate $700.00 until then." in words(page)


def test_one_press_books_it_and_lets_it_out(case, client):
    photo = SimpleUploadedFile("a.jpg", picture())
    answer = send(client, phone="555 0101", to_time="17:00", photos=photo)
    booking = theirs().get()
    assert answer.url == reverse("booking", args=[booking.pk])
    out = booking.hand_overs.get()
    assert (out.taken_by, out.readings.get().value) == ("Hal", 110.0)
    assert (booking.value, f"{booking.to_time:%H:%M}") == (700, "17:00")
    assert booking.hire.customer.phone == "555 0101"
    assert HandOverPhoto.objects.get().hand_over == out
    assert send(client).status_code == 302  # sent twice
    assert (theirs().count(), HandOver.objects.count()) == (1, 1)


def test_one_press_takes_both_back(case, client):
    send(client)
    undo_act(last_act(case.desk, NOON), by=case.desk, now=NOON)
    assert theirs().get().cancelled_at
    assert not HandOver.objects.exists()
    assert last_act(case.desk, NOON) is None


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"customer": ""}, "Say for whom the machine is."),
        ({"last_day": "2026-03-01"}, "That day is past"),
        ({"last_day": "0001-01-01"}, "That day is past"),
        ({"last_day": "9999-12-31"}, "more than a year"),
        ({"last_day": "2026-02-30"}, "not a day of the calendar"),
        ({"last_day": TODAY.isoformat(), "to_time": "11:00"}, "past already"),
        ({"tag": "none"}, "No machine here carries that tag."),
        ({"tag": "Q\x00"}, "Null characters"),
        ({"reading_hours": "lots"}, "“lots”"),
        ({"reading_hours": "10"}, "How is it?"),
        ({"point_3": ""}, "Look at this point"),
        ({"mail": "none"}, "no mail address"),
        ({"charge_what": "delivery"}, "Say how much"),
    ],
)
def test_a_fault_is_said_nothing_is_booked_and_what_was_typed_stays(case, client, typed, sentence):
    page = send(client, note="dented", **typed)
    assert page.status_code == 200
    assert sentence in words(page)
    assert not theirs().exists()
    if typed.get("tag") is None:
        assert "dented" in page.text
        assert 'value="Hal"' in page.text


def test_what_stands_against_it_refuses_both_but_its_reading_stays(case, client):
    case.booking(first=TODAY + timedelta(days=2))
    page = send(client)
    assert "is booked for Alder Creek fencing" in words(page)
    assert not theirs().exists()
    assert Reading.objects.filter(value=110.0).exists()
    assert send(client, last_day=TODAY.isoformat()).status_code == 302
    assert theirs().get().hand_overs.exists()


def test_a_soft_block_asks_for_a_reason_once(case, client):
    factories.Interval(makeup=case.machine.makeup, every=50.0, late=1.0)
    assert "overdue" in words(send(client))
    assert not theirs().exists()
    send(client, reason="back before Friday")
    assert Override.objects.get().booking == theirs().get()


def test_a_hold_refuses_it(case, client):
    factories.Hold(machine=case.machine)
    assert "is held" in words(send(client, reason="it will do"))
    assert not theirs().exists()


def test_what_is_not_safe_holds_it_and_books_nothing(case, client):
    page = client.post(reverse("walk-in"), OUT | {"point_0": "no"}, follow=True)
    assert "Q-1 is held" in words(page)
    assert Hold.objects.exists()
    assert not theirs().exists()


def test_another_machine_keeps_who_and_until_when_and_begins_its_own_sheet(case, client):
    other = case.another()
    page = client.post(reverse("walk-in"), OUT | {"do": "show", "tag": other.tag})
    assert f'name="sheet" value="{other.tag}"' in page.text
    assert 'value="Two Pines"' in page.text
    assert 'value="Hal"' in page.text
    assert 'value="110"' not in page.text
    assert " checked" not in page.text
    page = client.post(reverse("walk-in"), OUT | {"tag": other.tag})
    assert f"Below is the sheet of {other.tag} now: look it round." in words(page)
    assert not theirs().exists()


def test_the_same_sheet_keeps_all_that_was_seen(case, client):
    page = client.post(reverse("walk-in"), OUT | {"do": "show", "last_day": TODAY.isoformat()})
    assert 'value="110"' in page.text
    assert page.text.count(" checked") == len(FINE)
    assert "Q-1 may go out today." in words(page)


def test_another_class_brings_the_best_of_it(case, client):
    other = factories.Machine(
        tag="T-9", yard=case.machine.yard, makeup__machine_class__name="Trailer"
    )
    consequences.MachineState(machine=other)
    of = other.makeup.machine_class_id
    page = client.post(reverse("walk-in"), OUT | {"do": "show", "machine_class": of})
    assert 'name="sheet" value="T-9"' in page.text
    assert 'name="tag" value="T-9"' in page.text


def test_the_counter_leads_to_it(case, client):
    of = case.machine.makeup.machine_class_id
    days = {"machine_class": of, "first_day": TODAY.isoformat(), "last_day": LAST.isoformat()}
    text = client.get(reverse("counter"), days).text
    (way,) = re.findall(r'href="([^"]+)">Let it out now', text)
    page = client.get(way.replace("&amp;", "&"))
    assert 'name="sheet" value="Q-1"' in page.text
    assert f'value="{LAST}"' in page.text


class TestLetAgain:
    """It went out this morning and is back at noon; who takes it next stands at the counter."""

    @pytest.fixture
    def back(self, case, client, monkeypatch):
        booking = case.out()
        HandOver.objects.update(at=NOON - timedelta(hours=4))
        others = [n for n, point in enumerate(general_points()) if not point.safety]
        typed = {"form_key": "k0", "reading_hours": "104.5", **FINE, f"point_{others[0]}": "no"}
        client.post(reverse("check-in", args=[booking.pk]), typed)
        self.wrong, self.fine = others[0], others[1:]
        self.safe = [n for n in range(len(FINE)) if n not in others]
        return booking

    def checked(self, page, number):
        return re.search(rf'name="point_{number}" value="yes"[^>]* checked', page.text) is not None

    def test_the_booking_that_ended_leads_to_its_sheet(self, back, client):
        page = client.get(reverse("booking", args=[back.pk]))
        assert f'href="{reverse("walk-in")}?tag=Q-1"' in page.text

    def test_its_sheet_says_what_was_typed_as_it_came_back(self, back, client):
        page = client.get(reverse("walk-in"), {"tag": "Q-1"})
        assert 'name="reading_hours" value="104.5"' in page.text
        assert all(self.checked(page, number) for number in self.fine)

    def test_points_for_safety_and_what_was_not_in_order_are_looked_at_again(self, back, client):
        page = client.get(reverse("walk-in"), {"tag": "Q-1"})
        assert not any(self.checked(page, number) for number in [self.wrong, *self.safe])

    def test_after_some_hours_all_is_looked_at_again(self, back, client, monkeypatch):
        monkeypatch.setattr("django.utils.timezone.now", lambda: NOON + timedelta(hours=3))
        page = client.get(reverse("walk-in"), {"tag": "Q-1"})
        assert not any(self.checked(page, number) for number in range(len(FINE)))
        assert 'value="104.5"' not in page.text
        page = client.get(reverse("booking", args=[back.pk]))
        assert "Let it again" not in page.text
