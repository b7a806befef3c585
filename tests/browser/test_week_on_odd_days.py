"""The same week, begun on days on which a calendar is odd: what the demo shows moves with it."""

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import DESKTOP
from tests.browser.live_site import prepare
from tests.browser.other_days import DAYS
from tests.browser.test_week import live_a_week, week  # noqa: F401  a fixture
from tests.long_run import chosen

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.timeout(600)]
PLAN_SECONDS = 6
"""For the night's plan, which only has to be there."""


@pytest.fixture
def size():
    return DESKTOP


@pytest.fixture
def morning(chromium, empty, odd, tmp_path_factory):
    return prepare(tmp_path_factory.mktemp("morning"), empty, odd.ahead(), PLAN_SECONDS)


@pytest.mark.parametrize("odd", chosen(DAYS, 1), ids=lambda day: day.why)
def test_the_week_is_lived_from_that_day_on(odd, week):  # noqa: F811
    assert week.cast.today == odd.morning.date()
    expect(week.manager.page.locator("h1")).to_contain_text(f"{odd.morning:%a %-d %b}")
    for person in week.people:
        person.checks_rules = False  # a day changes what stands on a page, not how it is laid out
    live_a_week(week)
