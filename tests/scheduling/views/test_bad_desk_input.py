"""Bad input at each form of the desk: a sentence, no 500, nothing doubled."""

from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db.models import Sum
from django.urls import reverse
from django.utils import timezone

from fleet.models import Booking, ClassLine, HandOver, HandOverCharge, Waiting
from tests import consequences, factories
from tests.factories import NOON, TODAY
from tests.scheduling.counter_case import FINE, LAST, open_counter

pytestmark = pytest.mark.django_db
DAYS = {"first_day": TODAY.isoformat(), "last_day": LAST.isoformat()}
BAD = {
    "year one": {"first_day": "0001-01-01", "last_day": "0001-01-01"},
    "the last year": {"first_day": "9999-12-31", "last_day": "9999-12-31"},
    "until the last year": {"last_day": "9999-12-31"},
    "no such day": {"first_day": "2026-02-30"},
    "end before start": {"first_day": LAST.isoformat(), "last_day": TODAY.isoformat()},
    "past": {"first_day": "2026-03-01", "last_day": "2026-03-01"},
    "no time": {"from_time": "25:00", "to_time": "half past"},
    "back before out": {"last_day": TODAY.isoformat(), "from_time": "15:00", "to_time": "9:00"},
    "a long word": {"customer": "x" * 5000, "first_day": "9" * 400},
    "nothing": {"first_day": "", "last_day": "", "customer": "", "machine_class": "", "yard": ""},
}

ALL = {"first_day", "last_day", "from_time", "to_time", "customer"}
TAKES = {"walk-in": {"last_day", "to_time", "customer"}}


@pytest.fixture
def case(client, monkeypatch):
    return open_counter(client, monkeypatch)


@pytest.fixture
def forms(case):
    """Each form that takes days: its address and what it is sent when all is well."""
    booking = factories.Booking(
        machine=case.another(), first_day=TODAY + timedelta(days=2), last_day=LAST,
    )  # fmt: skip
    machine = case.machine
    of = {"machine_class": machine.makeup.machine_class_id, "yard": machine.yard_id}
    line = factories.models.ClassLine.objects.create(
        hire=booking.hire, machine_class=machine.makeup.machine_class, yard=machine.yard,
        first_day=TODAY, last_day=LAST, made_at=NOON,
    )  # fmt: skip
    row = factories.models.Waiting.objects.create(
        customer=booking.hire.customer, machine_class=machine.makeup.machine_class,
        yard=machine.yard, first_day=TODAY, last_day=LAST, made_at=NOON,
    )  # fmt: skip
    who = {"customer": "Two Pines", "form_key": "bad"}
    return {
        reverse("counter-book", args=["Q-1"]): DAYS | who,
        reverse("walk-in"): DAYS | who | FINE | {
            "do": "out", "sheet": "Q-1", "tag": "Q-1", "reading_hours": "101",
        },
        reverse("booking-correct", args=[booking.pk]): DAYS | {"machine": "Q-1", "reason": "x"},
        reverse("hire-add", args=[booking.hire_id]): DAYS | {"tag": "Q-1"},
        reverse("hire-add-class", args=[booking.hire_id]): DAYS | of,
        reverse("class-line-change", args=[line.pk]): DAYS | of,
        reverse("wait"): DAYS | of | who,
        reverse("wait-change", args=[row.pk]): DAYS | of,
    }  # fmt: skip


def standing():
    return {
        "bookings": sorted(Booking.objects.values_list("pk", "first_day", "last_day")),
        "lines": sorted(ClassLine.objects.values_list("pk", "first_day", "last_day")),
        "waits": sorted(Waiting.objects.values_list("pk", "first_day", "last_day")),
        "handed": HandOver.objects.count(),
        "charged": HandOverCharge.objects.aggregate(all=Sum("amount"))["all"],
    }


@pytest.mark.parametrize("bad", BAD)
def test_what_cannot_be_is_said_at_every_form_and_changes_nothing(forms, client, bad):
    before = standing()
    for address, fine in forms.items():
        if not BAD[bad].keys() & TAKES.get(address.split("/")[2], ALL):
            continue  # it asks for nothing of that
        if bad == "end before start" and "walk-in" in address:
            continue  # it begins now, and ends today
        page = client.post(address, fine | BAD[bad], follow=True)
        assert page.status_code == 200, (address, page.status_code)
        said = page.text
        assert 'role="alert"' in said or 'class="said' in said, address
    assert standing() == before


def test_a_character_that_no_text_has_is_refused_by_every_form_and_changes_nothing(forms, client):
    before, nul = standing(), {"first_day": "2026\x00", "last_day": "\x00", "customer": "a\x00b"}
    for address, fine in forms.items():
        page = client.post(address, fine | nul)
        if page.status_code == 200:  # a form with photos is read by its page alone
            assert 'role="alert"' in page.text, address
        else:
            assert (page.status_code, "Nothing was stored" in page.text) == (400, True), address
        assert client.get(address, nul).status_code == 400
    assert standing() == before


@pytest.mark.parametrize("bad", BAD)
def test_what_is_asked_so_is_answered(case, client, bad):
    of = {"machine_class": case.machine.makeup.machine_class_id}
    for name in ("counter", "counter-calendar", "wait", "walk-in"):
        assert client.get(reverse(name), of | DAYS | BAD[bad]).status_code == 200, name


def test_a_machine_that_left_takes_nothing(case, client):
    case.machine.retired_on = TODAY
    case.machine.save()
    typed = DAYS | {"customer": "Two Pines", "form_key": "k"}
    page = client.post(reverse("counter-book", args=["Q-1"]), typed, follow=True)
    assert page.status_code in (200, 404)
    sent = typed | FINE | {"do": "out", "sheet": "Q-1", "tag": "Q-1", "reading_hours": "101"}
    assert "No machine here carries that tag" in client.post(reverse("walk-in"), sent).text
    assert not Booking.objects.filter(customer="Two Pines").exists()


@pytest.mark.parametrize(
    ("day", "hours"),
    [("2026-10-25", 25), ("2026-03-29", 23)],  # the clock changes in Berlin: back at 3, on at 2
)
def test_a_day_of_the_clock_change_is_a_whole_day(case, client, monkeypatch, day, hours):
    yard = case.machine.yard
    yard.time_zone = "Europe/Berlin"
    yard.save()
    yard.shop.time_zone = "Europe/Berlin"
    yard.shop.save()
    now = timezone.datetime(2026, 3, 20, 12, tzinfo=ZoneInfo("Europe/Berlin"))
    monkeypatch.setattr("django.utils.timezone.now", lambda: now)
    typed = {"first_day": day, "last_day": day, "customer": "Two Pines", "form_key": "k"}
    client.post(reverse("counter-book", args=["Q-1"]), typed)
    booking = Booking.objects.get(customer="Two Pines")
    assert booking.ends_at - booking.starts_at == timedelta(hours=hours)
    half = typed | {"customer": "Mill", "form_key": "k2", "from_time": "2:30", "to_time": "4:00"}
    page = client.post(reverse("counter-book", args=["Q-1"]), half)
    assert "booked for Two Pines" in page.text
    other = case.another()
    client.post(reverse("counter-book", args=[other.tag]), half | {"form_key": "k3"})
    mill = Booking.objects.get(customer="Mill")
    assert mill.starts_at < mill.ends_at


def test_a_yard_of_another_zone_has_its_own_day(case, client, monkeypatch):
    """At noon UTC it is the next day already on Kiritimati, where the machine stands."""
    far = factories.Machine(
        tag="K-1", yard__shop=case.machine.yard.shop, yard__time_zone="Pacific/Kiritimati",
        makeup=case.machine.makeup,
    )  # fmt: skip
    consequences.MachineState(machine=far)
    typed = DAYS | {"customer": "Two Pines", "form_key": "k"}
    page = client.post(reverse("counter-book", args=["K-1"]), typed)
    assert "That day is past" in page.text
    tomorrow = (TODAY + timedelta(days=1)).isoformat()
    client.post(reverse("counter-book", args=["K-1"]), typed | {"first_day": tomorrow})
    booking = Booking.objects.get(customer="Two Pines")
    assert booking.starts_at == NOON  # made on its first day, so it begins as it is made
    sent = {"form_key": "k1", "reason": "looked at it at dawn", **FINE}
    client.post(reverse("check-out", args=[booking.pk]), sent)
    assert booking.hand_overs.exists()


def test_eight_presses_at_once_do_it_once(case, client):
    """Of each form, with the key that its page carries: the rest hear what the first was told."""
    of = {"machine_class": case.machine.makeup.machine_class_id, "yard": case.machine.yard_id}
    hire = factories.Booking(machine__yard=case.machine.yard, customer="Mill").hire
    presses = {
        reverse("wait"): DAYS | of | {"customer": "Two Pines", "form_key": "w"},
        reverse("hire-add-class", args=[hire.pk]): DAYS | of | {"form_key": "c"},
        reverse("walk-in"): FINE | {
            "customer": "Two Pines", "form_key": "o", "do": "out", "sheet": "Q-1", "tag": "Q-1",
            "last_day": TODAY.isoformat(), "reading_hours": "101", "charge_what": "delivery",
            "charge_amount": "20", "reason": "the class is promised for later",
        },
    }  # fmt: skip
    for address, typed in presses.items():
        for _ in range(8):
            assert client.post(address, typed, follow=True).status_code == 200
    assert (Waiting.objects.count(), ClassLine.objects.count()) == (1, 1)
    assert Booking.objects.filter(customer="Two Pines").count() == 1
    assert (HandOver.objects.count(), HandOverCharge.objects.count()) == (1, 1)
