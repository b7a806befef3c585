"""Presses and seconds of ten usual wishes of a rental desk, by mouse and by keyboard alone.

    python -m tests.browser.desk_wishes [--address URL]

Drives Chromium on the demo, which it prepares in a folder of its own unless the address of one
that runs is given, and prints a table.  It books and lets machines: use it on a demo alone.
"""

import argparse
import os
import shutil
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta

import django
from playwright.sync_api import Browser, Page, sync_playwright

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")
django.setup()

from tests.browser.conftest import DESKTOP, FLAGS  # noqa: E402  these want Django to be set up
from tests.browser.desk_hand import DeskHand  # noqa: E402
from tests.browser.pictures import demo_at  # noqa: E402
from tests.browser.visitor import visit  # noqa: E402

FAR = timedelta(days=75)
"""So far ahead that little is booked."""


@dataclass
class Day:
    """What the wishes of one person share."""

    page: Page
    name: str
    first: date
    now: date
    booking: str = ""
    hire: str = ""
    let: dict[str, str] = field(default_factory=dict)

    @property
    def counter(self) -> str:
        """Where the desk begins."""
        return f"{self.page.url.split('/', 3)[0]}//{self.page.url.split('/', 3)[2]}/counter/"


def ask(day: Day, hand: DeskHand) -> None:
    """Ask which of a class may go on some days."""
    page = day.page
    hand.choose(page.locator("#ask_machine_class"), day.let["class"])
    hand.type(page.locator("#ask_first_day"), day.first)
    hand.type(page.locator("#ask_last_day"), day.first + timedelta(days=2))
    hand.press(page.get_by_role("button", name="Which may go out?"))


def book(day: Day, hand: DeskHand) -> None:
    """Book the best of a class for a customer by name."""
    ask(day, hand)
    hand.press(day.page.locator("main a", has_text="Book "))
    hand.type(day.page.locator("main [name=customer]"), day.name)
    hand.press(day.page.locator("main .form button.press"))
    day.booking = day.page.url
    day.hire = day.page.locator("dd a[href*='/hires/']").first.get_attribute("href") or ""


def find(day: Day, hand: DeskHand) -> None:
    """Find a customer's booking by name, and open it."""
    hand.type(day.page.locator("#find-q"), day.name)
    hand.press(day.page.get_by_role("button", name="Find", exact=True))
    hand.press(day.page.locator("#bookings a").first)


def extend(day: Day, hand: DeskHand) -> None:
    """Let a booking last a day more."""
    hand.type(day.page.locator("#id_last_day"), day.first + timedelta(days=3))
    hand.press(day.page.get_by_role("button", name="Move the last day"))


def first_day(day: Day, hand: DeskHand) -> None:
    """Let it begin a day later."""
    hand.press(day.page.get_by_text("Change machine, days"), leads=False)
    hand.type(day.page.locator("#change_first_day"), day.first + timedelta(days=1))
    _change(day, hand)


def swap(day: Day, hand: DeskHand) -> None:
    """Give it another machine."""
    hand.press(day.page.get_by_text("Change machine, days"), leads=False)
    choices = day.page.locator("#change_machine option:not([selected])").all_text_contents()
    fits = [one for one in choices if "may not" not in one and one.strip()]
    hand.choose(day.page.locator("#change_machine"), fits[0])
    _change(day, hand)


def _change(day: Day, hand: DeskHand) -> None:
    """Save, and once more where it is asked whether that is meant."""
    hand.press(day.page.get_by_role("button", name="Change the booking"))
    again = day.page.get_by_role("button", name="Change it, with the work before")
    if again.count():
        hand.press(again)


def cancel(day: Day, hand: DeskHand) -> None:
    """Call it off."""
    hand.press(day.page.get_by_text("Call the booking off"), leads=False)
    hand.press(day.page.get_by_role("button", name="Call it off"))


def two_machines(day: Day, hand: DeskHand) -> None:
    """Add a second machine to a booking."""
    _more(day, hand)
    hand.press(day.page.locator("#more .list button").first)


def a_class(day: Day, hand: DeskHand) -> None:
    """Add any machine of a class to it."""
    _more(day, hand)
    hand.press(day.page.locator("#more button", has_text="Add any").first)


def _more(day: Day, hand: DeskHand) -> None:
    hand.choose(day.page.locator("#more_machine_class"), day.let["class"])
    hand.press(day.page.get_by_role("button", name="Which may go out?"))


def walk_in(day: Day, hand: DeskHand) -> None:
    """Book and let out somebody who stands there."""
    hand.press(day.page.get_by_role("link", name="Walk in"))
    hand.type(day.page.locator("#id_tag"), day.let["tag"])
    hand.type(day.page.locator("#id_last_day"), day.now + timedelta(days=1))
    hand.press(day.page.get_by_role("button", name="Show its sheet"))
    _let(day, hand)


def _let(day: Day, hand: DeskHand) -> None:
    """Fill in its sheet and let it out."""
    hand.type(day.page.locator("main [name=customer]"), day.name)
    _look_round(day, hand)
    hand.press(day.page.get_by_role("button", name="and let it out"))


def _look_round(day: Day, hand: DeskHand) -> None:
    """Type what each meter shows, a little more than the last time; all points are in order.

    What the sheet says already, as the machine came back a moment ago, stays.
    """
    for dial in day.page.locator(".dial").all():
        last = "".join(c for c in dial.locator(".hint").inner_text().split(" on ")[0]
                       if c.isdigit() or c == ".")  # fmt: skip
        shows = dial.locator("input[type=text]").first
        if not shows.input_value():
            hand.type(shows, f"{float(last) + 0.2:.1f}")
    for asked in day.page.locator("#open-safety .point").all():
        hand.press(asked.locator("input[value=right]"), leads=False)
    points = day.page.locator("#walk-round .point").all()
    still_open = [point for point in points if not point.locator(":checked").count()]
    asked_each = [point for point in still_open if point.locator(".point-safety").count()]
    for point in asked_each:
        hand.press(point.locator("input[value=yes]"), leads=False)
    if len(asked_each) < len(still_open):
        hand.press(day.page.locator("[name=rest]"), leads=False)


def back_and_out(day: Day, hand: DeskHand) -> None:
    """Take it back and let it again at once."""
    hand.press(day.page.get_by_role("link", name="Take back").first)
    _look_round(day, hand)
    hand.press(day.page.get_by_role("button", name="Take back"))
    hand.press(day.page.get_by_role("link", name="Let it again"))
    hand.type(day.page.locator("#id_last_day"), day.now + timedelta(days=1))
    _let(day, hand)


WISHES: dict[str, tuple[Callable[[Day, DeskHand], None], Callable[[Day], str]]] = {
    "book": (book, lambda day: day.counter),
    "find": (find, lambda day: day.counter),
    "extend": (extend, lambda day: day.booking),
    "first day": (first_day, lambda day: day.booking),
    "swap": (swap, lambda day: day.booking),
    "two machines": (two_machines, lambda day: day.counter[:-9] + day.hire),
    "a class": (a_class, lambda day: day.counter[:-9] + day.hire),
    "cancel": (cancel, lambda day: day.booking),
    "walk-in": (walk_in, lambda day: day.counter),
    "return, let again": (back_and_out, lambda day: day.page.url),
}
"""Each wish, and the page on which it begins."""


def lettable(page: Page, counter: str) -> dict[str, str]:
    """Return a class and the tag of a machine of it that may go out this minute."""
    page.goto(counter)
    classes = page.locator("#ask_machine_class option").all_text_contents()[1:]
    for name in classes:
        page.goto(counter)
        page.locator("#ask_machine_class").select_option(label=name)
        with page.expect_navigation():
            page.get_by_role("button", name="Which may go out?").click()
        ways = page.locator("a", has_text="Let it out now")
        if ways.count():
            return {"class": name, "tag": ways.first.inner_text().partition(": ")[2].strip()}
    raise SystemExit("No machine of the demo may go out today.")


def wished(browser: Browser, url: str, *, keys: bool) -> list[tuple[str, DeskHand | str]]:
    """Do all wishes; return what each took, or why it could not be done."""
    visitor = visit(browser, url, DESKTOP)
    visitor.sign_in("wes")
    page, today = visitor.page, date.today()  # noqa: DTZ011  the demo's own day, on this machine
    name = "Heron Creek" if keys else "Plover Flats"
    day = Day(page, name, today + FAR + timedelta(days=10 * keys), today)
    day.let = lettable(page, f"{url}/counter/")
    found: list[tuple[str, DeskHand | str]] = []
    for wish, (do, begins) in WISHES.items():
        page.goto(begins(day))
        hand = DeskHand(page, keys)
        try:
            do(day, hand)
        except Exception as error:  # told in the table: the others go on
            found.append((wish, f"not done at {page.url}: {str(error).splitlines()[0]}"))
        else:
            found.append((wish, hand))
    visitor.context.close()
    return found


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--address", help="of a demo that runs already")
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    with demo_at(parser.parse_args().address) as url, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=FLAGS)
        for keys in (False, True):
            print("by keyboard alone" if keys else "by mouse and keys")  # noqa: T201
            for wish, took in wished(browser, url, keys=keys):
                said = took if isinstance(took, str) else _line(took)
                print(f"  {wish:18} {said}")  # noqa: T201


def _line(took: DeskHand) -> str:
    tabs = f", {took.tabs:3} tabs" if took.keys else ""
    return (
        f"{took.presses:3} presses{tabs}, {took.typed:3} keys: {took.seconds:5.1f} s of a person,"
        f" {took.waited:4.1f} s of the site"
    )


if __name__ == "__main__":
    main()
