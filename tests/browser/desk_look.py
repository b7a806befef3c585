"""Hold every page of the desk against WCAG 2.2 AA, and count the Tabs to its answer.

    python -m tests.browser.desk_look [--address URL] [--quick]

In light and dark, at 1280, 820 and 390 px; quick: one of both at each width.  Prints what axe
minds, pages wider than the screen, and on how many presses of Tab each page's first way on is
reached, by the links that skip what stands before it.  Exit 1 where something is wrong.
"""

import argparse
import os
import shutil
import sys
from collections.abc import Iterator
from datetime import date, timedelta

import django
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, sync_playwright

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")
django.setup()

from tests.browser.conftest import FLAGS  # noqa: E402  these want Django to be set up
from tests.browser.desk_wishes import lettable  # noqa: E402
from tests.browser.pictures import demo_at  # noqa: E402
from tests.browser.visitor import CUT_OFF, RULES, UNFOLD, visit  # noqa: E402

SIZES = ((1280, 900), (820, 1100), (390, 800))
WAY_ON = {
    "counter, asked": "main .press",
    "calendar": "#machines a, [data-calendar] a, .cal-list a",
}
"""The first way on from an answer; of a form its first field, of a list its first press."""
ANY_WAY = "main :is(input, select, textarea, .press, .press-soft, .tag, .touch, summary)"
MOST_TABS, ENOUGH_TABS = 40, 10


def pages(page: Page, url: str) -> Iterator[tuple[str, str]]:
    """Yield name and address of each page, as the demo has them."""
    let = lettable(page, f"{url}/counter/")
    counter = page.url
    first = date.today() + timedelta(days=40)  # noqa: DTZ011  the demo's own day
    yield from (("counter, today", f"{url}/counter/"), ("counter, asked", counter))
    yield "book", f"{url}/counter/book/{let['tag']}/?first_day={first}&last_day={first}"
    yield "walk-in", f"{url}/counter/walk-in/"
    yield "walk-in, its sheet", f"{url}/counter/walk-in/?tag={let['tag']}"
    for name, path in (
        ("calendar", "calendar/"), ("waits", "waits/"), ("wait", "waits/new/"),
        ("customers", "customers/"), ("feeds", "feeds/"),
    ):  # fmt: skip
        yield name, f"{url}/counter/{path}"
    yield "find", f"{url}/counter/find/?q={let['tag'][0]}"
    page.goto(f"{url}/counter/")
    for name, css in (
        ("check-out", "#going-out a[href$='/out/']"), ("return", "a[href$='/back/']"),
    ):  # fmt: skip
        if page.locator(css).count():
            yield name, url + (page.locator(css).first.get_attribute("href") or "")
    page.goto(f"{url}/counter/customers/")
    if page.locator("main .list a").count():
        own = page.locator("main .list a").first.get_attribute("href") or ""
        yield "customer", url + own
        page.goto(url + own)
        for name, css in (("hire", "a[href*='/hires/']"), ("a booking", "main .day-line .tag")):
            if page.locator(css).count():
                address = page.locator(css).first.get_attribute("href") or ""
                yield name, url + address
                if name == "a booking":
                    yield "correct a booking", url + address + "correct/"
                    yield "another machine", url + address + "another/"


def tabs_to_answer(page: Page, css: str) -> int:
    """Return on how many presses of Tab the first way on is focused; skip links are taken."""
    for number in range(1, MOST_TABS):
        page.keyboard.press("Tab")
        at = page.evaluate(
            "css => { const a = document.activeElement;"
            " return [a.matches(css), a.classList.contains('skip')] }", css,
        )  # fmt: skip
        if at[0]:
            return number
        if at[1]:
            page.keyboard.press("Enter")
    return MOST_TABS


def looked_at(browser: Browser, url: str, *, quick: bool) -> int:
    """Look at all pages; return how many things are wrong."""
    first = visit(browser, url, SIZES[0])
    first.sign_in("wes")
    listed, cookies = list(pages(first.page, url)), first.context.cookies()
    wrong = 0
    for at, size in enumerate(SIZES):
        for scheme in ("light", "dark"):
            if quick and (scheme == "dark") != bool(at % 2):
                continue
            visitor = visit(browser, url, size, color_scheme=scheme)
            visitor.context.add_cookies(cookies)  # type: ignore[arg-type]
            for name, address in listed:
                wrong += _look(visitor.page, name, address, f"{size[0]} px, {scheme}")
            visitor.context.close()
    return wrong


def _look(page: Page, name: str, address: str, how: str) -> int:
    answer = page.goto(address)
    status = answer.status if answer else 0
    tabs = tabs_to_answer(page, WAY_ON.get(name, ANY_WAY))
    page.evaluate(UNFOLD)
    wide = page.evaluate(CUT_OFF)
    minds = Axe().run(page, options=RULES).response["violations"]
    faults = [f"{one['id']} {[node['target'] for node in one['nodes']][:3]}" for one in minds]
    faults += [f"wider than the screen by {wide} px"] if wide > 0 else []
    faults += [f"answered {status}"] if status != 200 else []
    faults += [f"{tabs} Tabs to its answer"] if tabs >= ENOUGH_TABS else []
    print(f"{how}: {name}: {tabs} tabs{'; WRONG ' if faults else ''}{'; '.join(faults)}")  # noqa: T201
    return len(faults)


def main() -> None:
    """Look, and say how much is wrong."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--address", help="of a demo that runs already")
    parser.add_argument("--quick", action="store_true", help="light or dark at each width")
    asked = parser.parse_args()
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    with demo_at(asked.address) as url, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=FLAGS)
        wrong = looked_at(browser, url, quick=asked.quick)
    print(f"{wrong} wrong")  # noqa: T201
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
