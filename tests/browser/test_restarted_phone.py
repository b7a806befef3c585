"""A phone that dies in the barn: what waits on it outlives the browser, with its day."""

import os
import re
import shutil
import signal
import time
from pathlib import Path

import pytest
from django.conf import settings
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from fleet.models import ServiceRecord
from tests import factories
from tests.browser.conftest import FLAGS, PHONE, _session_of
from tests.scheduling.bench_data import bench_case
from tests.sentences import ROOT
from tests.services.workers import wait_for

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
NOT_SENT = "[data-no-signal] p:first-child"
ALONG = re.compile("open without a signal")
NO_SIGNAL = ["--proxy-server=127.0.0.1:9", "--proxy-bypass-list=<-loopback>"]
"""Leads all that a browser asks nowhere, from its start on: nothing listens on the discard port."""
WAIT = 60_000
"""Milliseconds: a busy machine is slow, not wrong."""


@pytest.fixture
def phone(chromium, tmp_path):
    """Start a browser on a profile of its own, as often as it is asked."""
    started = []

    def start(*, signal_there=True):
        context = chromium.browser_type.launch_persistent_context(
            str(tmp_path / "profile"), headless=True,
            args=FLAGS + ([] if signal_there else NO_SIGNAL),
            executable_path=shutil.which("chromium") or shutil.which("chromium-browser"),
            viewport={"width": PHONE[0], "height": PHONE[1]},
        )  # fmt: skip
        context.set_default_timeout(WAIT)
        started.append(context)
        return context

    yield start
    started[-1].close()


def kill(profile):
    """Kill a browser as a phone that loses its battery does: its processes, by their ids."""
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            said = (folder / "cmdline").read_bytes().decode(errors="replace")
        except OSError:
            continue
        if f"--user-data-dir={profile}" in said:
            os.kill(int(folder.name), signal.SIGKILL)
    (profile / "SingletonLock").unlink(missing_ok=True)


def picture_of(machine, by):
    """Put a photo of a finding where the site keeps them."""
    folder = Path(settings.PHOTOS)
    folder.mkdir(parents=True, exist_ok=True)
    found = factories.Finding(machine=machine, text="Boot torn")
    (folder / "torn.jpg").write_bytes(
        (ROOT / "fixtures" / "pictures" / "bench-phone.png").read_bytes()
    )
    return found.photos.create(
        name="torn.jpg", wide=390, high=844, digest="t", by=by, at=timezone.now()
    )


def test_a_browser_that_was_killed_keeps_its_day_pictures_and_entries(
    phone, tmp_path, live_server, settings
):
    settings.PHOTOS = str(tmp_path / "photos")
    day = timezone.now().date()
    case = bench_case(day)
    picture_of(case.machine, case.mechanic)
    context = phone()
    context.add_cookies([_session_of(case.mechanic, live_server.url)])
    page = context.new_page()
    page.goto(live_server.url + reverse("bench"))
    expect(page.locator("[data-along]")).to_have_text(ALONG, timeout=WAIT)
    context.set_offline(True)
    page.get_by_role("link", name="Open Q-1").click()
    page.get_by_label("Engine oil and filter").check()
    page.locator("[name=reading_hours]").fill("125.5")
    page.locator("[name=note]").fill("typed in the barn")
    page.get_by_role("button", name="Finish what is ticked").click()
    expect(page.locator(NOT_SENT)).to_have_text(
        "1 entry on this phone is not sent yet", timeout=WAIT
    )
    time.sleep(1)  # seconds: the phone's own database has it, its disk a moment later
    kill(tmp_path / "profile")

    context = phone(signal_there=False)
    page = context.new_page()
    page.goto(f"{live_server.url}{reverse('job', args=['Q-1'])}?day={day}")
    expect(page.locator(NOT_SENT)).to_have_text(
        "1 entry on this phone is not sent yet", timeout=WAIT
    )
    shown = page.locator("img.photo")
    shown.scroll_into_view_if_needed()
    page.wait_for_function(
        "() => document.querySelector('img.photo').naturalWidth > 0", timeout=WAIT
    )
    assert not ServiceRecord.objects.exists()
    context.close()

    context = phone()
    context.add_cookies([_session_of(case.mechanic, live_server.url)])
    page = context.new_page()
    page.goto(live_server.url + reverse("bench"))
    wait_for(lambda: page.evaluate("Outbox.all()") == [], "nothing waits on the phone")
    expect(page.locator(NOT_SENT)).to_be_empty(timeout=WAIT)  # a new page's is, until it looked
    assert [one.note for one in ServiceRecord.objects.all()] == ["typed in the barn"]
