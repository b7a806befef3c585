"""What a ranch hand sees: round, machine, what is wrong; no price, customer or plan."""

import re
from datetime import timedelta
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from fleet.models import Finding, FindingPhoto, Hold, LoggedChange, Reading, Role
from tests import consequences, factories
from tests.pages import answer, sign_in, words

pytestmark = pytest.mark.django_db
ROUND = reverse("meter-round")


def meter(tag, yard, days=None):
    """Return a meter in a yard, read some days ago."""
    made = factories.Meter(machine__tag=tag, machine__yard=yard)
    if days is not None:
        read_at = timezone.now() - timedelta(days=days)
        factories.Reading(meter=made, value=100, read_at=read_at)
    return made


@pytest.fixture
def hand(client):
    shop = factories.Shop()
    near = factories.Yard(name="Near", shop=shop)
    factories.Yard(name="Far", shop=shop)
    person = sign_in(client, Role.HAND, shop)
    person.home_yard = near
    person.save()
    return person


def yards(person):
    return {yard.name: yard for yard in person.shop.yards.all()}


def test_the_round_begins_in_the_own_yard_with_what_was_not_read_for_longest(client, hand):
    near, far = yards(hand)["Near"], yards(hand)["Far"]
    meter("N-1", near, days=1), meter("N-2", near, days=9), meter("N-3", near), meter("F-1", far)
    page = client.get(ROUND)
    assert "F-1" not in page.text
    assert page.text.index("N-3") < page.text.index("N-2") < page.text.index("N-1")
    said = words(client.get(f"{ROUND}?yard=all"))
    assert "Nearest first: Near, your own yard, then the others" in said
    assert said.index("N-1") < said.index("F-1")


def test_a_search_goes_through_all_yards_by_tag_and_kind(client, hand):
    meter("N-1", yards(hand)["Near"])
    far = meter("F-1", yards(hand)["Far"])
    meter("X-1", factories.Yard())
    near = str(hand.home_yard_id)
    for sought in ("f-1", far.machine.makeup.machine_class.name):
        page = client.get(ROUND, {"q": sought, "yard": near}).text
        assert 'name="value-' in page
        assert "N-1" not in page
    assert "No machine is found" in answer(client.get(ROUND, {"q": "X-1"}))


def test_a_hand_meets_no_price_customer_or_plan(client, hand):
    found = meter("N-1", yards(hand)["Near"], days=1).machine
    consequences.MachineState(machine=found)
    consequences.Block(
        machine=found, kind="falls_due", first_day=timezone.now().date(),
        works=[{"service": factories.Service().pk, "day": "2026-03-02", "planned": None}],
    )  # fmt: skip
    for name in ("yard", "counter", "bench", "shop-days", "machines", "set-up", "customers"):
        assert client.get(reverse(name)).status_code == 403, name
    assert client.get(found.get_absolute_url()).status_code == 403
    for address in (ROUND, reverse("scan", args=[found.pk])):
        page = client.get(address)
        assert f'href="{found.get_absolute_url()}"' not in page.text
        assert "customer" not in words(page)
        for name in ("counter", "shop-days", "machines"):
            assert f'href="{reverse(name)}"' not in page.text


def test_a_hand_reads_a_meter_and_corrects_their_own(client, hand):
    one = meter("N-1", yards(hand)["Near"], days=1)
    client.post(reverse("scan", args=[one.machine_id]), {f"value-{one.pk}": "104.5", "key": "f"})
    taken = Reading.objects.get(value=104.5)
    assert taken.read_by == hand
    right = {
        "value": "105.5",
        "when": timezone.now().strftime("%Y-%m-%dT%H:%M"),
        "note": "",
        "answer": "",
    }
    page = client.post(reverse("reading", args=[taken.pk]), right)
    assert page.url == reverse("scan", args=[one.machine_id])
    other = Reading.objects.exclude(read_by=hand).first()
    assert client.post(reverse("reading", args=[other.pk]), right).status_code == 403


def photo(size=(8, 6)):
    file = BytesIO()
    Image.new("RGB", size, "red").save(file, "PNG")
    return file.getvalue()


def test_a_reading_takes_three_presses_from_the_page_that_a_hand_lands_on(client, hand):
    """The search, the field, the button; the machines found come while the tag is typed."""
    meters = [meter(f"N-{number}", yards(hand)["Near"], days=1) for number in range(1, 5)]
    one, presses = meters[2], []
    landed = client.get(client.get(reverse("home")).url).text
    presses.append(r'<input type="search" id="q"')
    assert re.search(presses[0], landed)
    assert 'hx-trigger="input changed' in landed
    found = client.get(ROUND, {"q": "N-3"}, headers={"HX-Request": "true"}).text
    (form,) = re.findall(r'<form method="post" class="part".*?</form>', found, re.DOTALL)
    presses += [rf'<input id="value-{one.pk}"', r'<button class="press">Take all that is typed']
    assert all(re.search(pressed, form) for pressed in presses[1:])
    sent = dict(re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', form))
    client.post(ROUND, sent | {f"value-{one.pk}": "104.5"})
    assert Reading.objects.get(value=104.5).meter == one
    assert len(presses) == 3


def test_what_is_wrong_comes_with_a_photo_once(client, hand, settings, tmp_path):
    settings.PHOTOS = tmp_path
    machine = meter("N-1", yards(hand)["Near"]).machine
    for _ in range(2):
        sent = {"what": "Brakes", "gravity": "unsafe", "form_key": "w",
                "photo": SimpleUploadedFile("seen.png", photo())}  # fmt: skip
        client.post(reverse("scan-wrong", args=[machine.pk]), sent)
    finding = Finding.objects.get()
    assert Hold.objects.get().finding == finding
    kept = FindingPhoto.objects.get()
    assert (tmp_path / kept.name).read_bytes().startswith(b"\xff\xd8")  # a JPEG
    address = reverse("finding-photo", args=[finding.pk, kept.pk])
    assert client.get(address).status_code == 403
    sign_in(client, "mechanic", hand.shop)
    assert address in client.get(reverse("finding", args=[finding.pk])).text
    assert client.get(address)["Content-Type"] == "image/jpeg"
    sign_in(client, "mechanic")
    assert client.get(address).status_code == 404


def test_a_photo_of_something_else_is_struck_with_a_reason_and_stays_on_record(
    client, hand, settings, tmp_path
):
    settings.PHOTOS = tmp_path
    machine = meter("N-1", yards(hand)["Near"]).machine
    sent = {"what": "Brakes", "gravity": "note", "form_key": "w",
            "photo": SimpleUploadedFile("seen.png", photo())}  # fmt: skip
    client.post(reverse("scan-wrong", args=[machine.pk]), sent)
    kept = FindingPhoto.objects.get()
    page = reverse("finding", args=[kept.finding_id])
    address = reverse("finding-photo-strike", args=[kept.finding_id, kept.pk])
    assert client.post(address, {"why": "mine"}).status_code == 403
    boss = sign_in(client, "manager", hand.shop)
    assert address in client.get(page).text
    assert "Say why" in client.post(address, {"why": ""}, follow=True).text
    kept.refresh_from_db()
    assert kept.struck_at is None
    for _ in range(2):
        client.post(address, {"why": "the wrong machine"})
    kept.refresh_from_db()
    assert (kept.struck_by, kept.struck_why) == (boss, "the wrong machine")
    assert LoggedChange.objects.filter(act="struck").count() == 1
    after = client.get(page)
    assert "the wrong machine" in after.text
    assert "<img" not in after.text
    assert (tmp_path / kept.name).exists()


def test_what_is_no_photo_is_said_and_nothing_is_noted(client, hand, settings, tmp_path):
    settings.PHOTOS = tmp_path
    machine = meter("N-1", yards(hand)["Near"]).machine
    sent = {"what": "Brakes", "gravity": "note", "form_key": "w",
            "photo": SimpleUploadedFile("seen.png", b"no picture")}  # fmt: skip
    page = client.post(reverse("scan-wrong", args=[machine.pk]), sent)
    assert "no photo that can be shown" in words(page)
    assert not Finding.objects.exists()
