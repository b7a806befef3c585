"""Make the README's pictures from the running demo: python -m tests.browser.pictures.

The demo is loaded into a folder of its own, served with its worker, and looked at as its three
people.  The pictures go to fixtures/pictures.
"""

import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
django.setup()

# These read the settings as they are imported, so the site is set up first.
from django.db.models import Count  # noqa: E402
from playwright.sync_api import Browser, sync_playwright  # noqa: E402

from fleet.demo.sign_ins import sign_ins  # noqa: E402
from scheduling.models import DuePoint, PlannedJob, State  # noqa: E402
from tests.browser.conftest import DESKTOP, FLAGS, PHONE  # noqa: E402
from tests.browser.live_site import LiveSite, prepare  # noqa: E402

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "pictures"
HEIGHT = {DESKTOP: 1100, PHONE: 1000}
"""CSS pixels of a page that a picture shows, from its top."""


@dataclass(frozen=True)
class Picture:
    """One picture: its file, who looks, at which address, on which screen, from which part on."""

    name: str
    who: str
    path: str
    size: tuple[int, int] = DESKTOP
    part: str = ""


def pictures(site: LiveSite) -> list[Picture]:
    """Choose what to show: a full day at the bench, a machine with something due."""
    with site.database() as alias:
        day, mechanic = _fullest_day(alias)
        tag = _telling_machine(alias)
        a_class = DuePoint.objects.using(alias).get(pk=_due(alias)).machine.makeup.machine_class_id
    first = day + timedelta(days=1)
    asked = f"machine_class={a_class}&first_day={first}&last_day={first + timedelta(days=3)}"
    return [
        Picture("yard", "odile", "/yard/"),
        Picture("counter", "wes", f"/counter/?{asked}"),
        Picture("bench-phone", "ingrid", f"/bench/?day={day}&mechanic={mechanic}", PHONE),
        Picture("machine", "odile", f"/machines/{tag}/", part="section:has(.chart)"),
        Picture("shop-days", "odile", f"/shop-days/?day={day}"),
    ]


def _fullest_day(alias: str) -> tuple[date, str]:
    """Return the day of the bench's person with most machines on it."""
    jobs = PlannedJob.objects.using(alias).filter(mechanic__username="ingrid")
    rows = jobs.values_list("day").annotate(n=Count("pk")).order_by("-n", "day")
    return rows[0][0], "ingrid"


def _due(alias: str) -> int:
    points = DuePoint.objects.using(alias).filter(state=State.DUE, meter_kind="hours")
    return points.order_by("machine__tag").values_list("pk", flat=True)[0]


def _telling_machine(alias: str) -> str:
    return DuePoint.objects.using(alias).select_related("machine").get(pk=_due(alias)).machine.tag


def take(browser: Browser, site: LiveSite, picture: Picture) -> Path:
    """Sign in as the person and keep the top of the page, or a part of it."""
    width, height = picture.size
    context = browser.new_context(viewport={"width": width, "height": height})
    page = context.new_page()
    password = next(one.password for one in sign_ins() if one.username == picture.who)
    page.goto(f"{site.url}/sign-in/")
    page.fill("[name=username]", picture.who)
    page.fill("[name=password]", password)
    page.click("main button")
    page.goto(site.url + picture.path)
    target = FOLDER / f"{picture.name}.png"
    if picture.part:
        page.locator(picture.part).first.screenshot(path=target)
    else:
        clip = {"x": 0, "y": 0, "width": width, "height": HEIGHT[picture.size]}
        page.screenshot(path=target, full_page=True, clip=clip)
    context.close()
    return target


@contextmanager
def _served() -> Iterator[LiveSite]:
    with tempfile.TemporaryDirectory() as folder:
        site = prepare(Path(folder))
        try:
            site.start()
            yield site
        finally:
            site.stop()


def main() -> None:
    """Make all pictures, and say how large each is."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        sys.exit("Chromium is not there; install it to make the pictures.")
    with sync_playwright() as playwright, _served() as site:
        browser = playwright.chromium.launch(executable_path=chromium, args=FLAGS)
        for picture in pictures(site):
            made = take(browser, site, picture)
            sys.stdout.write(f"{made.name}: {made.stat().st_size // 1024} kB\n")
        browser.close()


if __name__ == "__main__":
    main()
