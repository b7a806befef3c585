"""What hands do on the pages, step by step, in the words that stand on them."""

import re
import subprocess
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from playwright.sync_api import Locator, Page, expect

from tests.browser.cast import Dial, Part
from tests.browser.visitor import Visitor

POINTS = ".point"


def type_in_round(who: Visitor, machine: Part, value: str) -> Locator:
    """Type a value for a machine's hour meter on the meter round; return the meter's line."""
    line = line_of_round(who, machine)
    field = line.get_by_label("Shows")
    field.fill(value)
    with who.page.expect_response(lambda answer: f"/{machine.hours.meter}/" in answer.url):
        field.press("Tab")
    return line


def send_whole_round(who: Visitor, machine: Part, value: str) -> Locator:
    """Do the same without scripts: fill in the line, then send the whole form."""
    line = line_of_round(who, machine)
    line.get_by_label("Shows").fill(value)
    who.follow(who.page.get_by_role("button", name="Take all that is typed"))
    return line


def line_of_round(who: Visitor, machine: Part) -> Locator:
    """Leaf through the meter round of a machine's yard to the line of its hour meter."""
    page = who.open(f"/meter-round/?yard={machine.yard}")
    line = page.locator(f"#line-{machine.hours.meter}")
    while not line.count():
        who.follow(page.get_by_role("link", name="Next"))
    return line


def overdue_line(who: Visitor, tag: str) -> Locator:
    """Leaf through the Yard's overdue list to a machine; return its line, none if nowhere."""
    page = who.open("/yard/")
    named = page.locator("summary strong", has_text=re.compile(f"^{re.escape(tag)}$"))
    lines = page.locator("#overdue .lines > li", has=named)
    further = page.locator("#overdue").get_by_role("link", name="Next", exact=True)
    while not lines.count() and further.count():
        who.follow(further)
    return lines


def service_of(who: Visitor, tag: str, service: str) -> str:
    """Return what a machine's page says of one service."""
    page = who.open(f"/machines/{tag}/")
    return page.locator("#services tbody tr", has_text=service).first.inner_text()


def hours_to_go(said: str) -> float:
    """Return the hours that a line says are to go, less than none once they are past."""
    # a cell of its own: "2 h past" ends at a tab, or on a phone's width at a new line
    found = re.search(r"([\d.,]+)\s*h (to go|past[\t\n])", said)
    assert found, said
    hours = float(found[1].replace(",", ""))
    return hours if found[2] == "to go" else -hours


def days_until_due(said: str) -> int:
    """Return in how many days a line says that it will most likely be due; 0: by now."""
    if re.search(r"due now|due: read the meter|, today", said):
        return 0
    found = re.search(r"beyond 120 days|tomorrow|in (\d+) days", said)
    assert found, said
    return {"beyond 120 days": 121, "tomorrow": 1}.get(found[0]) or int(found[1])


def ask_at_counter(who: Visitor, machine: Part, day: date) -> Locator:
    """Ask which machines of its class may go out for one day; return its line among the refused."""
    page = who.open("/counter/")
    page.get_by_label("Class").select_option(str(machine.machine_class))
    page.get_by_label("First day").fill(day.isoformat())
    page.get_by_label("Last day").fill(day.isoformat())
    who.follow(page.get_by_role("button", name="Which may go out?"))
    who.can_be_pressed_with_gloves()
    return page.locator(
        "#may-not > ul > li", has=page.get_by_role("link", name=machine.tag, exact=True)
    )


def fill_hand_over(page: Page, dials: Sequence[Dial], step: float) -> None:
    """Fill in a hand-over: every meter a little further on, every point in order."""
    for dial in dials:
        page.fill(f"[name=reading_{dial.kind}]", dial.more(step))
    for point in page.locator(POINTS).all():
        point.get_by_label("in order", exact=True).check()


def unfold_steps(part: Page | Locator) -> None:
    """Open the headings of a long sheet that are folded."""
    while part.locator("details.step-group:not([open]):visible").count():
        part.locator("details.step-group:not([open]):visible > summary").first.click()


def answer_checks(part: Page | Locator) -> None:
    """Say of each check of a sheet that it is good."""
    unfold_steps(part)
    for good in part.locator("[name^=step_][value=good]:visible").all():
        good.check()


def a_good_measure(hint: str) -> str:
    """Return a value well inside the bounds that stand beside a field: at least, at most."""
    low, high = (re.search(rf"at {word} (-?[\d.]+)", hint) for word in ("least", "most"))
    if low and high:
        return f"{(float(low[1]) + float(high[1])) / 2:g}"
    bound = low or high
    assert bound, hint
    number = float(bound[1])
    return f"{number + abs(number) / 2 if low else number - abs(number) / 2:g}"


def paper_of(page: Page, folder: Path) -> str:
    """Print the page as a PDF, and return what can be read on the paper."""
    file = folder / "paper.pdf"
    page.pdf(path=file, format="A4")
    read = subprocess.run(["pdftotext", file, "-"], capture_output=True, check=True)
    return squeezed(read.stdout.decode())


def squeezed(text: str) -> str:
    """Return a text with its white space made even, since paper breaks lines elsewhere."""
    return " ".join(text.split())


PLANNED_MS = 90_000
"""Longest wait for a plan that a page asked for, in milliseconds."""


def expect_said(page: Page, words: str | re.Pattern[str]) -> None:
    """Expect the site to say so under the head of the page; a plan takes its time."""
    status = page.locator("main [role=status]").first
    expect(status).to_contain_text(words, timeout=PLANNED_MS)
