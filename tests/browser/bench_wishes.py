"""Presses of a mechanic at the bench, on a phone: to the first step, to finish an oil change, to a
reading from a label; and how far the first job and the first step stand from the top.

    python -m tests.browser.bench_wishes [--address URL]

Drives Chromium on the demo, which it prepares in a folder of its own unless the address of one
that runs is given, and prints a line for each.  It writes into the book: use it on a demo alone.
A press is a tap, or a field that is typed into.  The scan of a label is none: it opens the page.
"""

import argparse
import os
import re
import shutil
from collections.abc import Iterator

import django
from playwright.sync_api import Locator, Page, sync_playwright

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")
django.setup()

from tests.browser.conftest import FLAGS  # noqa: E402  these want Django to be set up
from tests.browser.desk_hand import DeskHand  # noqa: E402
from tests.browser.pictures import demo_at  # noqa: E402
from tests.browser.visitor import visit  # noqa: E402

PHONE = (390, 844)
OIL = re.compile("engine oil|(basic|half-yearly|full|yearly) service", re.IGNORECASE)
DAYS_AHEAD = 20
PATIENCE = 120_000
"""Milliseconds: a busy machine is slow, not wrong."""
LABEL = 9
"""Number of the machine whose label is scanned; it is not one that was just worked on."""
SHOWN = re.compile(r"[\d,]+(?:\.\d+)?")


def screens_to(what: Locator) -> float:
    """Return how many screens above it go by until all of it is seen; 0: it is on the first."""
    box = what.first.bounding_box()
    assert box is not None
    return max(0.0, (box["y"] + box["height"]) / PHONE[1] - 1)


def next_reading(hint: str) -> str:
    """Return a little more than what a meter showed last."""
    found = SHOWN.search(hint)
    return f"{float(found[0].replace(',', '')) + 0.5:.1f}" if found else "1"


def open_bench(page: Page, url: str, wanted: re.Pattern[str]) -> Locator:
    """Open the bench, and the next lists until one has such a job; return these jobs."""
    page.goto(f"{url}/bench/")
    for _ in range(DAYS_AHEAD):
        left = page.locator("ul.list:not(.small) > li:not(:has(s))", has_text=wanted)
        jobs = page.locator("main .sheet", has=page.locator("a.press-wide")).filter(has=left)
        if jobs.count():
            return jobs
        page.get_by_role("link", name=re.compile("^Next: ")).click()
    raise SystemExit(f"No job in sight is about {wanted.pattern}.")


def first_step(page: Page, url: str) -> Iterator[str]:
    """From the bench, as it opens, to the first step of the first job."""
    opens = open_bench(page, url, re.compile("")).locator("a.press-wide")
    yield f"first job: {screens_to(opens):.1f} screens down the bench"
    hand = DeskHand(page)
    hand.press(opens.first)
    step = page.locator(".plate .then", has_text="First:")
    yield f"first step: {hand.presses} press, {screens_to(step):.1f} screens down its sheet"
    finish = page.get_by_role("button", name="Finish what is ticked")
    yield f"Finish: {screens_to(finish):.1f} screens down"


def oil_change(page: Page, url: str) -> Iterator[str]:
    """Finish the first service with an oil change that is planned, from its day's list on."""
    job = open_bench(page, url, OIL)
    hand = DeskHand(page)
    hand.press(job.first.locator("a.press-wide"))
    work = page.locator("form[data-keep] .sheet").filter(has_text=OIL).first
    long = page.evaluate("document.body.scrollHeight") / PHONE[1]
    yield f"sheet of {page.locator('li.step').count()} steps: {long:.1f} screens long"
    hand.press(work.locator("[name=done]").first, leads=False)
    for field in page.locator("[name^=reading_]").all():
        hint = page.locator(f"#{field.get_attribute('aria-describedby')}".split(" ")[0])
        hand.type(field, next_reading(hint.inner_text() if hint.count() else ""))
    hand.press(page.get_by_role("button", name="Finish what is ticked"))
    for why in page.locator("[name^=why_]:visible").all():  # what must not be left out, in one line
        hand.type(why, "looked at last week")
    if page.locator("[name^=why_]:visible").count():
        hand.press(page.get_by_role("button", name="Finish what is ticked"))
    for asked in page.locator("main .choices:has([name=really_so]) input").all():
        hand.press(asked, leads=False)
    done = "bench" in page.url and not page.locator(".faults").count()
    yield f"oil change finished: {hand.presses} presses" + (
        "" if done else f", NOT DONE: {page.url}"
    )


def reading_from_label(page: Page, url: str) -> Iterator[str]:
    """Take a reading from the page that a label opens."""
    page.goto(f"{url}/bench/")
    page.goto(f"{url}/scan/{LABEL}/")
    field = page.locator("[name^=value-]").first
    hint = page.locator(f"#{(field.get_attribute('aria-describedby') or '').split(' ')[0]}")
    hand = DeskHand(page)
    hand.type(field, next_reading(hint.inner_text()))
    hand.press(page.get_by_role("button", name="Take the reading"))
    taken = page.locator(".messages, .said, [role=status]").filter(has_text="taken").count()
    yield f"reading from a label: {hand.presses} presses, {screens_to(field):.1f} screens down" + (
        "" if taken or not page.locator("[aria-invalid]").count() else ", NOT TAKEN"
    )


def main() -> None:
    """Print the lines."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--address", help="of a demo that runs already")
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    with demo_at(parser.parse_args().address) as url, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=FLAGS)
        visitor = visit(browser, url, PHONE)
        visitor.context.set_default_timeout(PATIENCE)
        visitor.sign_in("ingrid")
        for wish in (first_step, oil_change, reading_from_label):
            for line in wish(visitor.page, url):
                print(line)  # noqa: T201


if __name__ == "__main__":
    main()
