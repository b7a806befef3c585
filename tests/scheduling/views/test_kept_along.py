"""Photos and charges in the form of the hand-over itself: kept, charged by rule, undone with it."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from fleet.actions.undo_acts import undo_act
from fleet.models import BookingChange, Finding, HandOver, HandOverCharge, HandOverPhoto
from fleet.photos_aside import PhotosAside, forget_aside
from fleet.queries.last_act import last_act
from tests import factories
from tests.factories import NOON
from tests.fleet.test_photo_files import picture
from tests.scheduling.counter_case import FINE, LAST, open_counter

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(client, monkeypatch, settings, tmp_path):
    settings.PHOTOS = tmp_path
    case = open_counter(client, monkeypatch)
    kind = case.machine.makeup.machine_class
    kind.runs_on, kind.fuel_price = "fuel", Decimal("80")
    kind.hours_included, kind.extra_hour_price = 2, Decimal("12.50")
    kind.late_day_price = Decimal("150")
    kind.save()
    return case


def photo(color, kind="JPEG"):
    return SimpleUploadedFile("wall.jpg", picture((30, color), kind))


def send(client, page, booking, **more):
    typed = {"reading_hours": "104", "form_key": f"k-{page}", **FINE, **more}
    return client.post(reverse(page, args=[booking.pk]), typed, follow=True)


def test_photos_and_a_charge_are_kept_with_the_check_out_once(case, client):
    booking = case.booking()
    more = {"photos_say": "left side", "charge_what": "delivery", "charge_amount": "$1,200"}
    for _ in range(2):
        page = send(client, "check-out", booking, photos=[photo(30), photo(31, "PNG")], **more)
    assert "Q-1 has gone out on this booking already" in page.text
    assert [one.says for one in HandOverPhoto.objects.all()] == ["left side"] * 2
    assert HandOverCharge.objects.get().amount == 1200
    slip = client.get(reverse("slip", args=[booking.hand_overs.get().pk])).text
    assert "delivery" in slip
    assert 'alt="left side, 1 of 2"' in slip


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"photos": SimpleUploadedFile("x.jpg", b"no picture")}, "no photo that can be shown"),
        ({"charge_what": "delivery"}, "Say how much."),
        ({"charge_amount": "20"}, "Say what it is for."),
        ({"charge_what": "delivery", "charge_amount": "a few"}, "charge_amount"),
        ({"reading_hours": "", "charge_what": "delivery", "charge_amount": "7"}, "delivery"),
    ],
)
def test_a_fault_stands_at_its_field_and_nothing_goes(case, client, more, sentence):
    booking = case.booking()
    page = send(client, "check-out", booking, **more)
    assert "It is not out yet" in page.text
    assert sentence in page.text
    assert not booking.hand_overs.exists()
    assert not HandOverCharge.objects.exists()


def test_too_much_at_once_is_not_even_read(case, client, monkeypatch):
    monkeypatch.setattr("scheduling.views.photo_uploads.MOST_SENT", 100)
    booking = case.booking()
    assert "too much at once" in send(client, "check-out", booking, photos=photo(30)).text
    assert not booking.hand_overs.exists()


def _out_and_late(case, client, monkeypatch, **more):
    booking = case.booking()
    send(client, "check-out", booking, fuel="8")
    late = NOON + timedelta(days=8)  # due back on the evening of the 8th, back at noon of the 10th
    monkeypatch.setattr("django.utils.timezone.now", lambda: late)
    return booking, send(client, "check-in", booking, reading_hours="120", fuel="6", **more)


def test_the_rule_of_the_class_charges_hours_fuel_and_days_late(case, client, monkeypatch):
    booking, _ = _out_and_late(case, client, monkeypatch, by_rule="on")
    charged = dict(HandOverCharge.objects.values_list("what", "amount"))
    assert charged == {
        "2 h of use beyond 14 included": Decimal("25.00"),  # 16 h in 7 days of 2 h
        "Fuel or charge: 25% of full is missing": Decimal("20.00"),
        "Back 2 days late": Decimal("300.00"),
    }
    back = booking.hand_overs.get(direction="back")
    slip = client.get(reverse("slip", args=[back.pk])).text
    assert "$345" in slip


def test_what_the_rule_says_can_be_left_away_and_charged_later(case, client, monkeypatch):
    booking, _ = _out_and_late(case, client, monkeypatch)
    assert not HandOverCharge.objects.exists()
    back = booking.hand_overs.get(direction="back")
    assert "$300" in client.get(reverse("hand-over-extras", args=[back.pk])).text


def test_a_class_without_a_rule_is_not_asked_about_it(case, client):
    kind = case.machine.makeup.machine_class
    booking = case.booking()
    send(client, "check-out", booking)
    page = reverse("check-in", args=[booking.pk])
    assert "by_rule" in client.get(page).text
    kind.fuel_price = kind.extra_hour_price = kind.hours_included = kind.late_day_price = None
    kind.save()
    assert "by_rule" not in client.get(page).text


def test_undone_the_return_takes_its_photos_and_charges_with_it(case, client, monkeypatch):
    booking, _ = _out_and_late(case, client, monkeypatch, by_rule="on", photos=photo(30))
    now = NOON + timedelta(days=8)
    undo_act(last_act(case.desk, now), by=case.desk, now=now)
    assert not HandOverCharge.objects.filter(struck_at=None).exists()
    assert not HandOverPhoto.objects.filter(struck_at=None).exists()
    assert HandOverCharge.objects.count() == 3  # they stay on record
    booking.refresh_from_db()
    assert (booking.last_day, BookingChange.objects.count()) == (LAST, 2)
    a_minute_later = now + timedelta(minutes=1)
    monkeypatch.setattr("django.utils.timezone.now", lambda: a_minute_later)
    send(client, "check-in", booking, form_key="k-2", reading_hours="120", by_rule="on")
    back = HandOver.objects.get(booking=booking, direction="back")
    assert back.charges.filter(struck_at=None).count() == 2  # the fuel was not looked at


def test_photos_of_a_form_that_was_refused_go_along_the_next_time(case, client):
    booking = case.booking()
    page = send(client, "check-out", booking, reading_hours="", photos=[photo(30), photo(31)])
    assert "2 photos kept." in page.text
    page = send(client, "check-out", booking, reading_hours="lots", photos=[photo(32)])
    assert "3 photos kept." in page.text
    assert not HandOverPhoto.objects.exists()
    send(client, "check-out", booking)
    assert HandOverPhoto.objects.filter(hand_over__booking=booking).count() == 3
    assert not PhotosAside.of(case.desk, "k-check-out", f"out {booking.pk}").photos()


def test_those_that_nobody_wants_are_left_out(case, client):
    booking = case.booking()
    send(client, "check-out", booking, reading_hours="", photos=photo(30))
    page = send(client, "check-out", booking, reading_hours="", leave_out="on", photos=photo(31))
    assert "1 photo kept." in page.text
    assert 'name="leave_out" checked' not in page.text
    send(client, "check-out", booking)
    assert HandOverPhoto.objects.count() == 1


def test_another_form_or_another_persons_finds_none_of_them(case, client):
    booking = case.booking()
    send(client, "check-out", booking, reading_hours="", photos=photo(30))
    assert "kept." not in send(client, "check-out", booking, reading_hours="", form_key="k2").text
    client.force_login(factories.Person(role="desk", shop=case.desk.shop))
    assert "kept." not in send(client, "check-out", booking, reading_hours="").text


def test_what_nobody_sends_again_is_let_go_after_a_day(case, client):
    booking = case.booking()
    send(client, "check-out", booking, reading_hours="", photos=photo(30))
    aside = PhotosAside.of(case.desk, "k-check-out", f"out {booking.pk}")
    assert len(aside.photos()) == 1
    written = datetime.fromtimestamp(aside.folder.stat().st_mtime, UTC)
    forget_aside(written + timedelta(hours=23))
    assert aside.photos()
    forget_aside(written + timedelta(hours=25))
    assert not aside.photos()


def test_photos_stay_while_a_walk_in_is_shown_anew_but_not_with_another_machine(case, client):
    typed = {
        "do": "show", "sheet": "Q-1", "tag": "Q-1", "form_key": "k1", "photos": photo(30),
        "last_day": LAST.isoformat(),
    }  # fmt: skip
    page = client.post(reverse("walk-in"), typed)
    assert "1 photo kept." in page.text
    assert "It is not out yet" not in page.text
    other = case.another()
    page = client.post(reverse("walk-in"), typed | {"tag": other.tag, "photos": ""})
    assert "kept." not in page.text


UNSAFE = {"unsafe": "on", "unsafe_text": "brake line leaks"}


@pytest.mark.parametrize("reading", ["104", ""])
def test_photos_of_a_check_out_that_holds_the_machine_stay_with_what_was_found(
    case, client, reading
):
    booking = case.booking()
    for _ in range(2):
        send(client, "check-out", booking, reading_hours=reading, photos=[photo(30), photo(31)],
             photos_say="front left", point_0="no", **UNSAFE)  # fmt: skip
    assert not booking.hand_overs.exists()
    assert not HandOverPhoto.objects.exists()
    noted = Finding.objects.order_by("pk")
    assert [one.photos.count() for one in noted] == [2, 2]
    assert "photo: front left" in noted[0].text
    assert not PhotosAside.of(case.desk, "k-check-out", f"out {booking.pk}").photos()


def test_of_a_walk_in_that_holds_the_machine_too(case, client):
    typed = {
        "do": "out", "sheet": "Q-1", "tag": "Q-1", "form_key": "k1", "customer": "Alder",
        "last_day": LAST.isoformat(), "reading_hours": "104", **FINE, **UNSAFE, "photos": photo(30),
    }  # fmt: skip
    client.post(reverse("walk-in"), typed)
    assert Finding.objects.get().photos.count() == 1


def test_who_opens_what_was_found_at_a_return_sees_its_photos(case, client):
    booking = case.booking()
    send(client, "check-out", booking)
    send(client, "check-in", booking, point_0="no", photos=photo(30), photos_say="front left")
    found = Finding.objects.get()
    assert not found.photos.exists()  # the return keeps them
    kept = HandOverPhoto.objects.get()
    client.force_login(factories.Person(role="mechanic", shop=case.desk.shop))
    page = client.get(reverse("finding", args=[found.pk])).text
    address = reverse("hand-over-photo", args=[kept.hand_over_id, kept.pk])
    assert address in page
    assert "front left" in page
    assert client.get(address)["Content-Type"] == "image/jpeg"
