"""Photos that a step asks for: from the sheet into the book."""

from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from fleet.models import LoggedChange, ServiceRecord, ServiceStep, WorkPhoto
from tests import factories
from tests.factories import NOON, TODAY
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db
ADDRESS = f"{reverse('step-photos', args=['Q-1'])}?day={TODAY}"
SHEET = f"{reverse('job', args=['Q-1'])}?day={TODAY}"


@pytest.fixture
def case(client, settings, tmp_path, monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    settings.PHOTOS = tmp_path
    case = bench_case()
    ServiceStep.objects.create(
        service=case.service, position=2, key="all-round", kind="photo", text="All four sides."
    )
    client.force_login(case.mechanic)
    return case


def picture(color="red", name="seen.png"):
    file = BytesIO()
    Image.new("RGB", (8, 6), color).save(file, "PNG")
    return SimpleUploadedFile(name, file.getvalue())


def send(client, case, *pictures, step="all-round"):
    sent = {"service": case.service.pk, "step": step, "photos": pictures}
    return client.post(ADDRESS, sent, follow=True)


def test_the_sheet_asks_for_photos_at_the_step_alone(client, case):
    page = client.get(SHEET).text
    assert page.count('type="file"') == 1
    (name,) = {f"step_{case.service.pk}_all-round"}
    assert f'form="photos-{name}"' in page
    assert f'<form id="photos-{name}" method="post" enctype="multipart/form-data"' in page


def test_photos_are_kept_once_and_shown_at_the_step(client, case):
    page = send(client, case, picture(), picture("blue"))
    assert "Photos kept: 2." in page.text
    assert send(client, case, picture()).text.count("These photos are kept already.") == 1
    rows = WorkPhoto.objects.all()
    assert [(one.by, one.step, one.words) for one in rows] == [
        (case.mechanic, "all-round", "All four sides.")
    ] * 2
    sheet = client.get(SHEET).text
    for one in rows:
        address = reverse("step-photo", args=[one.pk])
        assert f'src="{address}"' in sheet
        assert client.get(address)["Content-Type"] == "image/jpeg"


def test_once_the_service_is_in_the_book_they_stand_with_its_entry(client, case):
    factories.ServiceRecord(
        machine=case.machine, service=case.service, entered_at=NOON.replace(hour=1)
    )
    send(client, case, picture())
    (photo,) = WorkPhoto.objects.all()
    factories.ServiceRecord(machine=case.machine, service=case.service, entered_at=NOON)
    before, after = ServiceRecord.objects.order_by("entered_at")
    address = reverse("step-photo", args=[photo.pk])
    assert address in client.get(reverse("record", args=[after.pk])).text
    assert address not in client.get(reverse("record", args=[before.pk])).text
    assert f'src="{address}"' not in client.get(SHEET).text
    right = factories.ServiceRecord(
        machine=case.machine, service=case.service, corrects=after, entered_at=NOON.replace(hour=20)
    )
    assert address in client.get(reverse("record", args=[right.pk])).text


def test_one_that_shows_something_else_is_struck_with_a_reason(client, case):
    send(client, case, picture())
    photo = WorkPhoto.objects.get()
    strike = reverse("step-photo-strike", args=[photo.pk])
    sheet = client.get(SHEET).text
    assert f'<form id="strike-photo-{photo.pk}" method="post" action="{strike}"' in sheet
    assert sheet.count(f'form="strike-photo-{photo.pk}"') == 2  # why, and the press
    client.post(strike, {"why": ""})
    photo.refresh_from_db()
    assert photo.struck_at is None
    for _ in range(2):
        assert client.post(strike, {"why": "the wrong quad"}).url == reverse("job", args=["Q-1"])
    photo.refresh_from_db()
    assert (photo.struck_by, photo.struck_why) == (case.mechanic, "the wrong quad")
    assert LoggedChange.objects.count() == 1
    assert reverse("step-photo", args=[photo.pk]) not in client.get(SHEET).text
    assert "Photos kept: 1." in send(client, case, picture()).text  # it may be sent again


@pytest.mark.parametrize("step", ["no-such-step", "", "Drain warm"])
def test_a_step_that_asks_for_none_takes_none(client, case, step):
    assert "That step asks for no photos." in send(client, case, picture(), step=step).text
    assert not WorkPhoto.objects.exists()


def test_what_is_no_photo_or_none_is_refused_in_words(client, case):
    assert "Choose a photo first." in send(client, case).text
    page = send(client, case, SimpleUploadedFile("a.jpg", b"no picture"))
    assert "That is no photo" in page.text
    assert not WorkPhoto.objects.exists()


def test_one_who_does_not_work_there_neither_sends_nor_sees_them(client, case):
    send(client, case, picture())
    photo = WorkPhoto.objects.get()
    address = reverse("step-photo", args=[photo.pk])
    client.force_login(factories.Mechanic(shop=factories.Shop()))
    assert client.post(ADDRESS, {}).status_code == 404
    assert client.get(address).status_code == 404
    client.force_login(factories.Person(role="hand", shop=case.machine.yard.shop))
    assert client.get(address).status_code == 403
    assert client.post(reverse("step-photo-strike", args=[photo.pk])).status_code == 403
