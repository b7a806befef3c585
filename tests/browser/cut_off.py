"""A phone whose connection is cut: what it took along, what waits on it."""

import re

from playwright.sync_api import expect

from tests.browser.conftest import PHONE
from tests.services.workers import wait_for

NOT_SENT = "[data-no-signal] p:first-child"
AS_OF = "[data-no-signal] p:last-child"
PUT = """async (rows) => {
  const db = await new Promise((done) => {
    const ask = indexedDB.open("evener");
    ask.onsuccess = () => done(ask.result);
  });
  const work = db.transaction("entries", "readwrite");
  for (const one of rows) work.objectStore("entries").put(one);
  await new Promise((done) => { work.oncomplete = done; });
  await NoSignal.again();
}"""
"""Write entries into the phone's database as they are, and have it look again."""


def take_along(open_page, person, address):
    """Open a page and wait until what belongs to it was taken along; then cut the connection."""
    page = open_page(person, address, PHONE)
    expect(page.locator("[data-along]")).to_have_text(
        re.compile("open without a signal|abren también sin señal"), timeout=60_000
    )
    page.context.set_offline(True)
    return page


def rows_of(page):
    return page.evaluate("Outbox.all()")


def all_is_sent(page):
    wait_for(lambda: rows_of(page) == [], "nothing waits on the phone")
    expect(page.locator(NOT_SENT)).to_be_empty()  # a new page's is, until it has looked
