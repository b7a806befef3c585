"""Photos and charges of a hand-over: kept, shown on slip and page, struck with a trace."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from fleet.actions.correct_hand_overs import HandOverCorrection, correct_hand_over
from fleet.actions.hand_over import WalkRound, check_in
from fleet.actions.particulars import Particulars
from fleet.models import HandOverCharge, HandOverPhoto, LoggedChange, Role
from tests import factories
from tests.factories import NOON, TODAY
from tests.fleet.test_photo_files import picture
from tests.scheduling.counter_case import open_counter

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def case(client, monkeypatch, settings, tmp_path):
    settings.PHOTOS = tmp_path
    return open_counter(client, monkeypatch)


@pytest.fixture
def row(case):
    return case.out().hand_overs.get()


def send(client, row, *sent, **more):
    files = [SimpleUploadedFile(f"{n}.jpg", one) for n, one in enumerate(sent)]
    address = reverse("hand-over-add-photo", args=[row.pk])
    return client.post(address, {"photos": files, "says": "left side", **more})


def test_photos_are_kept_shown_and_handed_out(client, row):
    two = picture((30, 30)), picture((50, 20), "PNG")
    assert send(client, row, *two, two[0]).status_code == 302
    assert send(client, row, two[0]).status_code == 302  # sent again, it is there already
    first, second = HandOverPhoto.objects.all()
    page = client.get(reverse("hand-over-extras", args=[row.pk])).text
    assert "2 photos, nothing charged." in page
    assert 'alt="left side, 1 of 2"' in page
    answer = client.get(reverse("hand-over-photo", args=[row.pk, first.pk]))
    assert (answer.status_code, answer["Content-Type"]) == (200, "image/jpeg")
    assert answer.content.startswith(b"\xff\xd8")
    slip = client.get(reverse("slip", args=[row.pk])).text
    assert reverse("hand-over-photo", args=[row.pk, second.pk]) in slip
    assert client.get(reverse("slip-pdf", args=[row.pk])).status_code == 200


def test_nobody_else_sees_a_photo(client, row):
    send(client, row, picture())
    address = reverse("hand-over-photo", args=[row.pk, HandOverPhoto.objects.get().pk])
    client.logout()
    assert client.get(address).status_code == 302
    client.force_login(factories.Person(role=Role.DESK))  # of another shop
    assert client.get(address).status_code == 404
    client.force_login(factories.Person(role=Role.MECHANIC, shop=row.booking.machine.yard.shop))
    answer = client.get(address)
    assert answer.status_code == 200


def test_what_cannot_be_kept_is_said_and_nothing_is(client, row, monkeypatch):
    page = send(client, row, picture(), b"no picture")
    assert "no photo that can be shown" in page.text
    assert "Choose a photo first" in send(client, row).text
    assert "6 photos at once" in send(client, row, *[picture((n, 9)) for n in range(1, 9)]).text
    monkeypatch.setattr("scheduling.views.photo_uploads.MOST_SENT", 100)
    answer = send(client, row, picture())
    assert (answer.status_code, "too much at once" in answer.text) == (413, True)
    assert not HandOverPhoto.objects.exists()


def test_a_charge_is_made_once_and_struck_with_its_reason(client, row):
    address = reverse("hand-over-charge", args=[row.pk])
    typed = {"what": "broken lamp", "amount": "$1,200", "form_key": "k1"}
    for _ in range(2):
        assert client.post(address, typed).status_code == 302
    one = HandOverCharge.objects.get()
    assert one.amount == 1200
    assert "broken lamp" in client.get(reverse("slip", args=[row.pk])).text
    strike = reverse("hand-over-charge-strike", args=[row.pk, one.pk])
    assert "Say why" in client.post(strike, {"why": " "}, follow=True).text
    client.post(strike, {"why": "it was broken before"})
    page = client.get(reverse("hand-over-extras", args=[row.pk])).text
    assert "<s>broken lamp: 1200.00</s>" in page
    assert "it was broken before" in page
    assert LoggedChange.objects.get(act="struck").reason == "it was broken before"
    assert "broken lamp" not in client.get(reverse("slip", args=[row.pk])).text


def test_the_rule_of_the_class_is_offered_and_taken_by_one_press(client, case, row):
    kind = case.machine.makeup.machine_class
    kind.late_day_price, kind.fuel_price = Decimal("150"), Decimal("80")
    kind.save()
    row.level = 1.0
    row.save()
    booking, late = row.booking, NOON + 7 * DAY  # due on the 8th, back at noon of the 9th
    back = check_in(booking, WalkRound(more=Particulars(level=0.5)), by=case.desk, now=late)
    page = client.get(reverse("hand-over-extras", args=[back.pk])).text
    assert "Back 1 day late" in page
    assert "$40" in page
    sent = {"what": "Back 1 day late", "amount": "150.00", "form_key": "k2"}
    client.post(reverse("hand-over-charge", args=[back.pk]), sent)
    page = client.get(reverse("hand-over-extras", args=[back.pk])).text
    assert page.count("Back 1 day late") == 2  # in the list, and in the name of its button


def test_what_is_kept_goes_over_to_the_hand_over_that_puts_it_right(client, case, row):
    send(client, row, picture())
    right = HandOverCorrection(NOON - timedelta(hours=1), {}, "an hour earlier")
    new = correct_hand_over(row, right, why="clock", by=case.desk, now=NOON)
    assert HandOverPhoto.objects.get().hand_over == new
    assert "open the one that stands" in send(client, row, picture((9, 9))).text


def test_attachments_of_the_hire_stand_on_booking_and_slip(client, case, row):
    bucket = factories.Machine(
        tag="BK-2", serial="B77", yard=case.machine.yard,
        makeup__machine_class__is_attachment=True,
    )  # fmt: skip
    factories.Booking(machine=bucket, hire=row.booking.hire, first_day=TODAY, last_day=TODAY)
    assert "BK-2" in client.get(reverse("booking", args=[row.booking_id])).text
    assert "BK-2, " in client.get(reverse("slip", args=[row.pk])).text
