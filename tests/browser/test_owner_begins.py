"""An owner who has read nothing comes to an empty site with a workbook, and leaves with a plan."""

import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest
from django.apps import apps
from playwright.sync_api import Locator, expect

from fleet.models import Import, Machine, Reading, ServiceRecord
from scheduling.models import PlannedJob
from tests.browser.conftest import DESKTOP, PHONE, SIZE_NAMES
from tests.browser.live_site import DATABASE, LiveSite
from tests.browser.owners_workbook import MACHINES, READINGS, SERVICES, UNKNOWN, write_workbook
from tests.browser.visitor import Visitor, visit
from tests.long_run import chosen
from tests.services.workers import wait_for

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.timeout(600)]
MOST_PRESSES = 40
PATIENCE_MS = 180_000
"""For the worker on a busy machine."""


@dataclass
class Owner:
    """Whoever sits there; every press is counted, on fields that are typed in too."""

    visitor: Visitor
    presses: int = 0

    @property
    def page(self):
        """What is before them."""
        return self.visitor.page

    def press(self, what: Locator) -> None:
        """Press a link or a button that leads to a page, and look at that page."""
        self.presses += 1
        self.visitor.follow(what)

    def fill(self, label: str, text: str) -> None:
        """Press on a field and type."""
        self.presses += 1
        self.page.get_by_label(label, exact=True).fill(text)

    def choose(self, label: str, text: str) -> None:
        """Press on a list and choose from it."""
        self.presses += 2
        self.page.get_by_label(label, exact=True).select_option(text)

    def button(self, name: str) -> Locator:
        """Return a button by what stands on it."""
        return self.page.get_by_role("button", name=name, exact=True)

    def link(self, name: str) -> Locator:
        """Return the first link that says so."""
        return self.page.get_by_role("link", name=name, exact=True).first


@pytest.fixture
def empty_site(chromium, empty, tmp_path):
    site = LiveSite(tmp_path / "site")
    site.data.mkdir()
    shutil.copy(empty / DATABASE, site.data / DATABASE)
    try:
        site.start("serve")
        yield site
    finally:
        site.stop()


@pytest.fixture(params=chosen([PHONE, DESKTOP], 1), ids=SIZE_NAMES.get)
def owner(chromium, empty_site, request):
    visitor = visit(chromium, empty_site.url, request.param)
    yield Owner(visitor)
    visitor.context.close()


def counts(alias: str) -> dict[str, int]:
    """Return how many rows each table of facts holds."""
    models = apps.get_app_config("fleet").get_models()
    return {model.__name__: model.objects.using(alias).count() for model in models}


def test_from_an_empty_site_to_a_plan_and_back(owner, empty_site, tmp_path, django_db_blocker):
    with django_db_blocker.unblock():  # a database of its own
        begin_and_go_back(owner, empty_site, tmp_path)


def begin_and_go_back(owner: Owner, empty_site: LiveSite, tmp_path: Path) -> None:
    make_an_account(owner)
    put_the_shop_in(owner)
    with empty_site.database() as alias:
        before = counts(alias)
    bring_the_workbook_in(owner, empty_site, tmp_path)
    the_plan_comes_by_itself(owner, empty_site)
    assert owner.presses < MOST_PRESSES
    assert owner.visitor.complaints == []
    undo_it(owner, empty_site, before)
    assert "Traceback" not in empty_site.log()


def make_an_account(owner: Owner) -> None:
    owner.page.goto(owner.visitor.url)
    expect(owner.page.locator(".plate")).to_contain_text("make yours")
    owner.visitor.look()
    owner.fill("Name to sign in with", "nora")
    owner.fill("Password", "long grass in may")
    owner.fill("The password again", "long grass in may")
    owner.press(owner.button("Make the account"))


def put_the_shop_in(owner: Owner) -> None:
    expect(owner.page.locator(".plate")).to_contain_text("Next: shop and its hours")
    owner.press(owner.link("Put the shop in"))
    owner.fill("Name", "Hollow Creek Shop")
    owner.choose("Time zone", "America/Denver")
    owner.press(owner.button("Keep it"))
    expect(owner.page.locator(".plate")).to_contain_text("Next")


def bring_the_workbook_in(owner: Owner, site: LiveSite, folder: Path) -> None:
    """One file: looked at first, and nothing written before the last press."""
    file = folder / "our fleet.xlsx"
    write_workbook(file, site.now.date())
    owner.press(owner.link("Bring your spreadsheets in"))
    owner.presses += 3  # the field, the file in the list, and that it is taken
    owner.page.get_by_label("XLSX or CSV file").set_input_files(file)
    owner.press(owner.button("Look at it"))
    come = owner.button("Bring it in")
    come.wait_for(timeout=PATIENCE_MS)
    owner.visitor.look()
    expect(owner.page.get_by_text(UNKNOWN).first).to_be_visible()
    with site.database() as alias:
        assert not Machine.objects.using(alias).exists()
    owner.press(come)
    expect(owner.page.locator(".plate")).to_contain_text("came in", timeout=PATIENCE_MS)
    owner.visitor.look()
    with site.database() as alias:
        assert Machine.objects.using(alias).count() == MACHINES
        assert ServiceRecord.objects.using(alias).count() == SERVICES
        assert Reading.objects.using(alias).filter(source="file").count() >= READINGS


def the_plan_comes_by_itself(owner: Owner, site: LiveSite) -> None:
    def planned() -> bool:
        with site.database() as alias:
            return PlannedJob.objects.using(alias).exists()

    wait_for(planned, "the first plan", PATIENCE_MS / 1000)
    owner.page.goto(owner.visitor.url + "/yard/")
    owner.visitor.look()
    if (menu := owner.page.locator(".menu-fold > summary")).is_visible():
        owner.presses += 1
        menu.click()
    owner.press(owner.link("Shop days"))
    expect(owner.page.locator("[data-job]").first).to_be_attached()


def undo_it(owner: Owner, site: LiveSite, before: dict[str, int]) -> None:
    """Nothing was built upon it: the rows of before are left, and that it was."""
    with site.database() as alias:
        number = Import.objects.using(alias).get().pk
    owner.visitor.open(f"/bring-in/{number}/")
    owner.press(owner.button("Undo all of it"))
    expect(owner.page.locator(".plate")).to_contain_text("undone")
    with site.database() as alias:
        after = counts(alias)
    left = {name: (before[name], after[name]) for name in after if after[name] != before[name]}
    # that it was there, what was refused of it, and that a night kept the list of a day
    assert left.keys() <= {"Import", "ImportRefusal", "LoggedChange", "KeptDay", "Press"}, left
