"""The desk's calendar by keyboard: what a strip has no room for is told below, and read aloud."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from fleet.models import Role
from tests import consequences, factories
from tests.browser.conftest import DESKTOP

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def page(open_page):
    """Q-1: free for two days, barred for three by a service, then free when that is planned."""
    today = timezone.now().date()
    desk = factories.Person(role=Role.DESK)
    machine = factories.Machine(tag="Q-1", yard__shop=desk.shop)
    consequences.MachineState(machine=machine)
    consequences.DuePoint(machine=machine, p50=today + timedelta(days=2))
    return open_page(desk, f"{reverse('counter-calendar')}?weeks=4", DESKTOP)


def test_arrows_reach_a_block_and_all_of_it_is_told(page):
    page.locator("td a").first.focus()
    told = page.locator("[data-read]")
    expect(told).to_contain_text("free: book Q-1")
    page.locator("td a.cal-why").first.focus()
    expect(told).to_contain_text("falls due: why Q-1 may not go")
    expect(told).to_contain_text("is most likely due")
    why = page.get_by_role("link", name="falls due").first
    expect(why).to_have_accessible_description(told_of(page))
    assert not page.complaints


def test_short_words_stand_where_long_ones_have_no_room(page):
    strip = page.locator(".strip-after").last
    long, short = strip.locator("i").first, strip.locator("i").last
    assert seen(strip, long)
    page.set_viewport_size({"width": 820, "height": 900})
    page.locator(".strip-after").last.evaluate("each => { each.style.width = '4rem'; }")
    assert seen(strip, short)
    assert not seen(strip, long)


def told_of(page):
    name = page.locator("td a.cal-why").first.get_attribute("aria-describedby")
    return page.locator(f"#{name}").text_content()


def seen(strip, words):
    """Whether words lie within their strip, top and bottom."""
    frame, box = strip.bounding_box(), words.bounding_box()
    top, bottom = frame["y"] - 1, frame["y"] + frame["height"] + 3
    return top <= box["y"] and box["y"] + box["height"] <= bottom
