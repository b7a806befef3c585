"""The walk of a trial in a real browser: ask, wait, look, publish; with scripts and without."""

from datetime import timedelta

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from playwright.sync_api import expect

from fleet.models import ClosedDay
from scheduling.models import OutboxEntry, PlannedWork, Trial
from scheduling.worker.perform import perform_entry
from tests import factories
from tests.browser.conftest import DESKTOP, PHONE
from tests.browser.test_look import RULES
from tests.factories import NOON, TODAY
from tests.pages import at_noon  # noqa: F401  a fixture
from tests.scheduling.trial.conftest import (  # noqa: F401  fixtures
    bo,
    due_in,
    filter_part,
    mechanic,
    oil,
    planned,
    refreshed,
    shop,
    yard,
)

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("at_noon"),
]
SMALL = 48
"""CSS pixels below which nothing is to be that a glove presses."""
PRESSED = """
smallest => [...document.querySelectorAll("main :is(button, .press, .press-soft, summary)")]
  .map(each => [each.textContent.trim(), each.getBoundingClientRect().height])
  .filter(([, height]) => height > 0 && height < smallest)
"""


@pytest.fixture
def manager(planned, shop):  # noqa: F811
    return factories.Person(shop=shop, first_name="Odile")


def work():
    """Be the worker."""
    for entry in OutboxEntry.objects.filter(kind=OutboxEntry.Kind.TRIAL, done_at=None):
        assert perform_entry(entry.pk, NOON)


def fit(page):
    """Whether a page is cut off nowhere, breaks no rule, and can be pressed with gloves."""
    width = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    page.wait_for_load_state("load")  # a press returns before its page
    assert page.evaluate(width) <= 0
    assert page.evaluate(PRESSED, SMALL) == []
    found = Axe().run(page, options=RULES).response["violations"]
    assert [(v["id"], [n["target"] for n in v["nodes"]][:3]) for v in found] == []


def ask(page, day):
    """Ask what a closed day would do."""
    fold = page.locator("#closed")
    fold.locator("summary").click()
    fold.get_by_label("Day").fill(day.isoformat())
    fold.get_by_role("button", name="Try it out").click()


@pytest.mark.parametrize(
    ("size", "dark"), [(DESKTOP, False), (PHONE, True)], ids=["desktop", "phone in the dark"]
)
def test_a_change_is_tried_watched_and_published(open_page, manager, planned, size, dark):  # noqa: F811
    day = PlannedWork.objects.get(machine=planned[0]).job.day
    page = open_page(manager, reverse("shop-days"), size, dark)
    page.get_by_role("link", name="Try it first").click()
    fit(page)
    ask(page, day)
    expect(page.locator(".answer")).to_contain_text("being worked out")
    fit(page)
    work()
    expect(page.locator(".answer")).to_contain_text("With the shop closed on")  # by itself
    fit(page)
    expect(page.locator(".moves")).to_contain_text(planned[0].tag)
    page.get_by_role("button", name="Publish this").click()
    expect(page.get_by_role("main").get_by_role("status").first).to_contain_text("are on record")
    fit(page)
    assert ClosedDay.objects.get().day == day
    assert page.complaints == []


def test_a_bad_day_is_named_where_it_was_typed(open_page, manager):
    page = open_page(manager, reverse("trials"), PHONE)
    ask(page, TODAY - timedelta(days=3))
    expect(page.locator("#closed").get_by_role("alert")).to_contain_text("That day has gone by")
    fit(page)
    assert not Trial.objects.exists()


def test_without_scripts_a_link_shows_how_far_it_is(chromium, live_server, open_page, manager):
    seen = open_page(manager, reverse("trials"))
    plain = chromium.new_context(
        java_script_enabled=False, storage_state=seen.context.storage_state()
    )
    page = plain.new_page()
    page.goto(live_server.url + reverse("trials"))
    ask(page, TODAY + timedelta(days=2))
    work()
    page.get_by_role("link", name="Look again").click()
    page.get_by_role("link", name="Go on").click()
    expect(page.locator(".answer")).to_contain_text("With the shop closed on")
    plain.close()


def test_a_mechanic_says_on_the_phone_that_they_are_away_and_the_plan_is_mended(
    open_page, planned  # noqa: F811
):  # fmt: skip
    sick = PlannedWork.objects.get(machine=planned[0]).job.mechanic
    page = open_page(sick, reverse("bench"), PHONE)
    page.get_by_role("link", name="Something broke today").click()
    fit(page)
    fold = page.locator("#away")
    fold.locator("summary").click()
    fold.get_by_label("Last day").fill((TODAY + timedelta(days=10)).isoformat())
    fold.get_by_role("button", name="Show the moves").click()
    work()
    expect(page.locator(".answer")).to_contain_text(f"With {sick} away")
    fit(page)
    expect(page.locator(".moves .why").first).to_contain_text("cannot stay")
    expect(page.get_by_text("the fleet manager has to accept it")).to_be_visible()
    assert page.complaints == []
