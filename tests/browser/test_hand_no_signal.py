"""A ranch hand's round without a signal: labels scanned, meters read, all of it sent once."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from fleet.models import Finding, Machine, Reading
from tests import factories
from tests.browser.conftest import PHONE
from tests.browser.cut_off import AS_OF, NOT_SENT, PUT, all_is_sent, rows_of, take_along

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
WAITS = "waits on this phone"


def pasture():
    """A hand's own yard with two machines that were read at 300 h three days ago, and the hand."""
    yard = factories.Yard(name="Low pasture")
    for tag in ("P-1", "P-2"):
        meter = factories.Meter(machine=factories.Machine(tag=tag, yard=yard))
        factories.Reading(meter=meter, value=300, read_at=timezone.now() - timedelta(days=3))
    return yard, factories.Person(role="hand", shop=yard.shop, home_yard=yard)


def came_in():
    read = Reading.objects.filter(value__gt=300).order_by("value")
    found = Finding.objects.values_list("machine__tag", "text")
    return list(read.values_list("meter__machine__tag", "value")), list(found)


def test_a_label_scanned_without_a_signal_is_read_and_sent_once(open_page, live_server):
    yard, hand = pasture()
    machines = Machine.objects.filter(yard=yard).order_by("tag")
    first, second = (live_server.url + reverse("scan", args=[one.pk]) for one in machines)
    page = take_along(open_page, hand, reverse("home"))

    page.goto(first)  # as the phone's camera opens it
    expect(page.get_by_role("heading", name="P-1")).to_be_visible()
    expect(page.locator(AS_OF)).to_have_text(re.compile("No signal: as of"))
    page.get_by_label("Hour meter shows").fill("301.5")
    page.get_by_role("button", name="Take the reading").click()
    expect(page.locator(".plate")).to_contain_text(WAITS)
    expect(page.locator(NOT_SENT)).to_have_text("1 entry on this phone is not sent yet")

    page.goto(second)
    page.get_by_text("Something is wrong", exact=True).click()
    page.get_by_label("Something else").check()
    page.get_by_label("It needs work soon").check()
    page.get_by_label("A few words more").fill("Gate latch hangs loose")
    page.get_by_role("button", name="Note it").click()
    expect(page.locator(NOT_SENT)).to_have_text("2 entries on this phone are not sent yet")
    page.get_by_role("link", name="Meter round").first.click()
    page.get_by_role("link", name="By tag instead").click()  # kept in another order
    page.get_by_label("Find a machine").fill("p-2")
    expect(page.locator(".round-line", has_text="P-1")).to_be_hidden()
    expect(page.get_by_text("looked for among the machines of this page")).to_be_visible()
    line = page.locator(".round-line", has_text="P-2")
    line.get_by_label("Shows").fill("302.5")
    line.get_by_label("Shows").press("Tab")
    expect(line).to_contain_text(WAITS)
    page.goto(f"{live_server.url}{reverse('meter-round')}?yard={yard.pk}&page=7&order=worth")
    expect(page.locator(".round-line")).to_have_count(2)  # that yard, as it was kept
    assert came_in() == ([], [])

    pressed = rows_of(page)
    page.context.set_offline(False)
    all_is_sent(page)
    wanted = [("P-1", 301.5), ("P-2", 302.5)], [("P-2", "Gate latch hangs loose")]
    assert came_in() == wanted
    page.evaluate(PUT, pressed)  # as after a cut before the answer came
    all_is_sent(page)
    assert came_in() == wanted


def test_what_was_refused_on_a_label_is_gone_to(open_page):
    yard, hand = pasture()
    machine = Machine.objects.filter(yard=yard).first()
    page = open_page(hand, reverse("scan", args=[machine.pk]), PHONE)
    page.get_by_text("Something is wrong", exact=True).click()
    page.get_by_role("button", name="Note it").click()
    expect(page.locator(".faults")).to_be_focused()
    expect(page.locator(".faults")).to_be_in_viewport()
