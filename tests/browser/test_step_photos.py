"""Photos that a step asks for, taken where there is no signal."""

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from fleet.models import ServiceStep, WorkPhoto
from tests.browser.cut_off import NOT_SENT, all_is_sent, take_along
from tests.scheduling.bench_data import bench_case
from tests.sentences import ROOT

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_they_wait_on_the_phone_and_are_kept_once(open_page, settings, tmp_path):
    settings.PHOTOS = str(tmp_path)
    case = bench_case(timezone.now().date())
    ServiceStep.objects.create(
        service=case.service, position=2, key="all-round", kind="photo", text="All four sides."
    )
    page = take_along(open_page, case.mechanic, reverse("bench"))
    page.get_by_role("link", name="Open Q-1").click()
    page.locator("[name=note]").fill("typed before")
    page.locator("input[type=file]").set_input_files(
        str(ROOT / "fixtures" / "pictures" / "bench-phone.png")
    )
    page.get_by_role("button", name="Keep the photos").click()
    waits = "2 entries on this phone are not sent yet"  # the photo and the note
    expect(page.locator(NOT_SENT)).to_have_text(waits)
    expect(page.locator("[name=note]")).to_have_value("typed before")

    page.context.set_offline(False)
    page.reload()
    all_is_sent(page)
    (photo,) = WorkPhoto.objects.all()
    assert (photo.by, photo.step, photo.machine) == (case.mechanic, "all-round", case.machine)
    page.reload()
    shown = page.locator(f'img[src="{reverse("step-photo", args=[photo.pk])}"]')
    shown.scroll_into_view_if_needed()
    page.wait_for_function("() => document.querySelector('img.photo').naturalWidth > 0")
    expect(page.locator("[name=note]")).to_have_value("typed before")

    shown.scroll_into_view_if_needed()
    page.locator("summary", has_text="Strike this photo").click()
    page.get_by_label("Why", exact=True).fill("the wrong quad")
    page.get_by_role("button", name="Strike the photo").click()
    page.wait_for_url("**/bench/Q-1/**")
    photo.refresh_from_db()
    assert photo.struck_why == "the wrong quad"
    expect(page.locator("[name=note]")).to_have_value("typed before")
