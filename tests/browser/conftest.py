"""A real browser on the real site: Chromium without a window, signed in by its session."""

import shutil
from urllib.parse import urlsplit

import pytest
from django.test import Client

from tests.browser.cast import Casting
from tests.browser.live_site import LiveSite, prepare, running_copy
from tests.made_once import made_once
from tests.require import require

FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--disable-dev-shm-usage",
]  # fmt: skip
DESKTOP, PHONE = (1280, 900), (360, 740)
SIZE_NAMES = {DESKTOP: "desktop", PHONE: "phone"}


@pytest.fixture(scope="session")
def chromium():
    """One browser for all tests."""
    path = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("chrome")
    require(path, "Chromium")
    from playwright.sync_api import sync_playwright  # noqa: PLC0415  slow to import

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, headless=True, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture
def open_page(chromium, live_server):
    """Open a page as a person; what the browser complains of is kept in page.complaints."""
    contexts = []

    def open_as(person, path, size=DESKTOP, dark=False):
        context = chromium.new_context(
            viewport={"width": size[0], "height": size[1]},
            color_scheme="dark" if dark else "light",
        )
        contexts.append(context)
        if person is not None:
            context.add_cookies([_session_of(person, live_server.url)])
        page = context.new_page()
        page.complaints = []
        page.on("console", lambda said: page.complaints.append(said.text))
        page.on("pageerror", lambda error: page.complaints.append(str(error)))
        page.on("request", lambda asked: _stays_home(asked.url, live_server.url, page))
        page.goto(live_server.url + path)
        return page

    yield open_as
    for context in contexts:
        context.close()


def _session_of(person, url):
    client = Client()
    client.force_login(person)
    value = client.cookies["sessionid"].value
    return {"name": "sessionid", "value": value, "domain": urlsplit(url).hostname, "path": "/"}


def _stays_home(url, home, page):
    if not url.startswith((home, "data:")):
        page.complaints.append(f"asked another host: {url}")


@pytest.fixture(scope="session")
def morning(chromium, empty, tmp_path_factory):
    """The demo's folder on the morning after its nightly run; only copies of it are served."""
    return LiveSite(made_once(tmp_path_factory, "morning", lambda data: prepare(data, empty)))


@pytest.fixture(scope="session")
def empty(tmp_path_factory):
    """A folder with a migrated site that holds nothing, to copy from."""
    return made_once(tmp_path_factory, "empty", lambda data: LiveSite(data).migrate())


@pytest.fixture
def site(morning, tmp_path):
    """A site of one's own, with its web server and its worker."""
    with running_copy(morning, tmp_path / "site") as site:
        yield site
        print(site.log())  # noqa: T201  shown where the test failed


@pytest.fixture
def cast(site, django_db_blocker):
    """Which machines of that site play which part."""
    return cast_of(site, django_db_blocker)


def cast_of(site, django_db_blocker):
    """Look the parts up in a site's own database."""
    with django_db_blocker.unblock(), site.database() as alias:
        return Casting(alias, site.now).cast()
