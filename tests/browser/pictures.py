"""Make the README's pictures from the running demo: python -m tests.browser.pictures.

It prepares the demo in a folder of its own, serves it, and keeps what matters of each page in
fixtures/pictures; with --address of a demo that runs already it takes the pictures there.
"""

import argparse
import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import django
from playwright.sync_api import Browser, Locator, Page, sync_playwright

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")
django.setup()

from tests.browser.conftest import DESKTOP, FLAGS  # noqa: E402  these want Django to be set up
from tests.browser.live_site import LiveSite, prepare, running_copy  # noqa: E402
from tests.browser.visitor import visit  # noqa: E402

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "pictures"
PHONE = (390, 800)
LARGEST = 250_000
"""Bytes that one picture may have in the repository."""


def _press(page: Page, pressed: Locator) -> None:
    with page.expect_navigation():
        pressed.first.click()


def ask_for_a_skid_steer(page: Page) -> None:
    """Ask at the counter which skid steer may go out."""
    page.get_by_label("Class").select_option(label="Skid steer")
    _press(page, page.get_by_role("button", name="Which may go out?"))


def open_next_day(page: Page) -> None:
    """Leaf from an empty day to the next one with jobs."""
    if page.locator(".jobs, ol.stack > li").count() == 0:
        _press(page, page.locator(".plate-actions a[href^='?day=']"))


def open_a_machine(page: Page) -> None:
    """Open the first machine of the list."""
    _press(page, page.locator("#found .tag"))


def open_a_full_week(page: Page) -> None:
    """Leaf to the first week of the plan with a dozen jobs."""
    for _ in range(4):
        if page.locator(".job-card").count() >= 12:
            return
        _press(page, page.locator(".week-filters a").last)


@dataclass(frozen=True)
class Picture:
    """One picture: whose page, on which screen, from which element on, how much of it.

    then: what is done on the page before.
    """

    name: str
    username: str
    path: str
    high: int
    size: tuple[int, int] = DESKTOP
    then: Callable[[Page], None] | None = None
    top: str = ""


PICTURES = [
    Picture("yard", "odile", "/yard/", 1000),
    Picture("counter", "wes", "/counter/", 1050, then=ask_for_a_skid_steer),
    Picture("bench-phone", "ingrid", "/bench/", 1150, PHONE, open_next_day),
    Picture("machine", "odile", "/machines/?state=coming", 620, then=open_a_machine, top="#fan-1"),
    Picture("shop-days", "odile", "/shop-days/", 1150, then=open_a_full_week),
]


def main() -> None:
    """Take all pictures, and say how large they are."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--address", help="of a demo that runs already")
    address = parser.parse_args().address
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    FOLDER.mkdir(parents=True, exist_ok=True)
    with demo_at(address) as url, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=FLAGS)
        for picture in PICTURES:
            file = take(browser, url, picture)
            size = file.stat().st_size
            print(f"{file.name}: {size:,} bytes")  # noqa: T201
            if size > LARGEST:
                raise SystemExit(f"That is more than {LARGEST:,} bytes; take less of the page.")


@contextmanager
def demo_at(address: str | None) -> Iterator[str]:
    """Yield where the demo runs; without an address one is made, and stopped again."""
    if address:
        yield address.rstrip("/")
        return
    with TemporaryDirectory() as folder:
        empty = LiveSite(Path(folder) / "empty")
        empty.data.mkdir()
        empty.migrate()
        morning = prepare(Path(folder), empty.data)
        with running_copy(morning, Path(folder) / "site") as site:
            yield site.url


def take(browser: Browser, url: str, picture: Picture) -> Path:
    """Take one picture and return its file."""
    visitor = visit(browser, url, picture.size)
    visitor.sign_in(picture.username)
    page = visitor.page
    page.goto(url + picture.path)
    if picture.then:
        picture.then(page)
    box = page.locator(picture.top).first.bounding_box() if picture.top else None
    wide, from_ = picture.size[0], (box["y"] if box else 0)
    file = FOLDER / f"{picture.name}.png"
    clip = {"x": 0, "y": from_, "width": wide, "height": picture.high}
    page.screenshot(path=file, full_page=True, clip=clip, caret="initial")  # type: ignore[arg-type]
    visitor.context.close()
    return file


if __name__ == "__main__":
    main()
