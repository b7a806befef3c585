"""Pictures at the steps of a sheet: large by a press, small again, there without a signal."""

from io import BytesIO
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from django.utils import timezone
from PIL import Image
from playwright.sync_api import expect

from fleet.models import ServiceStep, StepPicture
from tests.browser.conftest import PHONE
from tests.browser.cut_off import take_along
from tests.factories import NOON
from tests.scheduling.bench_data import bench_case

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
IMAGES = "[...document.querySelectorAll('.step-picture img')]"
LOADED = f"() => {IMAGES}.every((one) => one.naturalWidth)"


@pytest.fixture
def case(settings, tmp_path):
    settings.PHOTOS = str(tmp_path)
    case = bench_case(timezone.now().date())
    file = BytesIO()
    Image.new("RGB", (600, 400), "red").save(file, "JPEG")
    (Path(tmp_path) / "own.jpg").write_bytes(file.getvalue())
    own = StepPicture.objects.create(
        name="own.jpg", wide=600, high=400, digest="a", shows="Our own quad from the left",
        by=case.mechanic, at=NOON,
    )  # fmt: skip
    for position, more in enumerate(({"drawing": "toe"}, {"picture": own}), start=2):
        ServiceStep.objects.create(
            service=case.service, position=position, key=f"look-{position}", text="Look.", **more
        )
    return case


def test_they_are_there_without_a_signal(open_page, case):
    page = take_along(open_page, case.mechanic, reverse("bench"))
    page.get_by_role("link", name="Open Q-1").click()
    expect(page.locator(".step-picture img")).to_have_count(2)
    for one in page.locator(".step-picture img").all():
        one.scroll_into_view_if_needed()
    page.wait_for_function(LOADED)
    page.goto(page.url.split("/bench/")[0] + reverse("procedure", args=[case.service.pk]))
    expect(page.locator(".step-picture img")).to_have_count(2)
    for one in page.locator(".step-picture img").all():
        one.scroll_into_view_if_needed()
    page.wait_for_function(LOADED)


def test_one_is_large_by_a_press_and_small_again_by_hand_and_by_key(open_page, case):
    page = open_page(case.mechanic, reverse("job", args=["Q-1"]), PHONE)
    picture = page.get_by_role("img", name="The front wheels from above")
    picture.scroll_into_view_if_needed()
    page.wait_for_function("() => document.querySelector('.step-picture img').naturalWidth > 0")
    summary = page.locator(".step-picture > summary").first

    def wide():
        return picture.bounding_box()["width"]

    small = wide()
    assert summary.bounding_box()["height"] >= 48
    summary.click()
    page.wait_for_function("() => document.querySelector('.step-picture').open")
    large = wide()
    assert large > 1.8 * small
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    found = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"]})
    assert found.response["violations"] == []
    summary.focus()
    for key, then in (("Enter", small), ("Space", large), ("Space", small)):
        page.keyboard.press(key)
        assert abs(wide() - then) < 2, key
    box = page.locator(".step [type=checkbox]").first
    assert not box.is_checked()  # a press on a picture ticks nothing
