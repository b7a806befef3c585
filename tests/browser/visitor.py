"""A person at a browser: signs in, opens pages, and looks whether each can be read and pressed.

With EVENER_PICTURES=FOLDER in the environment a picture of each page looked at is kept there.
"""

import os
import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Locator, Page, expect

from fleet.demo.sign_ins import sign_ins

RULES = {"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"]}}
GLOVE = 44
"""CSS pixels below which no button of the counter or the bench may be (WCAG 2.2, 2.5.5)."""
expect.set_options(timeout=20_000)  # milliseconds: a busy machine is slow, not wrong
PRESSED = """
smallest => [...document.querySelectorAll(
    "main :is(button, .press, .press-soft, .touch, .choice, summary):not(.out-of-sight)")]
  .map(each => [each.textContent.trim().slice(0, 40), each.getBoundingClientRect().height])
  .filter(([, height]) => height > 0 && height < smallest)
"""
UNFOLD = """
document.querySelectorAll("main details:not([open]):not([name])")
  .forEach(fold => { fold.open = true; fold.classList.add("was-folded") })
"""
DRAWN_TWICE = (
    "() => new Promise(drawn => requestAnimationFrame(() => requestAnimationFrame(drawn)))"
)
"""By then a fold that was opened has asked the site for what it holds."""
FOLD_AGAIN = """
document.querySelectorAll(".was-folded")
  .forEach(fold => { fold.open = false; fold.classList.remove("was-folded") })
"""
ONE_OF_MANY = "main details[name] > summary:visible"
"""What opens over the lines beside it, and closes the one that was open."""
SAYS = """
[".faults", "[aria-invalid]", ".said"]
  .filter(each => document.querySelector("main " + each)).join(" ")
"""
CUT_OFF = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


@dataclass
class Visitor:
    """One signed-in person in a browser of their own; what the browser minds is kept.

    checks_rules: whether each kind of page is held against WCAG 2.2 AA, which takes half a second.
    """

    context: BrowserContext
    url: str
    who: str = ""
    scripts: bool = True
    checks_rules: bool = True
    complaints: list[str] = field(default_factory=list)
    looked_at: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.page: Page = self.context.new_page()
        self.context.on(
            "console", lambda said: self.complaints.append(f"{said.text} ({said.page})")
        )
        self.context.on("weberror", lambda error: self.complaints.append(str(error.error)))
        self.context.on("request", lambda asked: self._stays_home(asked.url))

    def sign_in(self, username: str) -> None:
        """Sign in on the sign-in page with the password that the demo prints."""
        password = next(one.password for one in sign_ins() if one.username == username)
        self.who = username
        self.page.goto(self.url + "/sign-in/")
        self.page.fill("[name=username]", username)
        self.page.fill("[name=password]", password)
        self.page.click("main button")
        self.page.wait_for_url(lambda address: "sign-in" not in address)

    def open(self, path: str) -> Page:
        """Open a page of the site; it must answer with 200, and be fit to be looked at."""
        answer = self.page.goto(self.url + path)
        assert answer is not None
        assert answer.status == 200, f"{path}: {answer.status}"
        self.look()
        return self.page

    def follow(self, pressed: Locator) -> Page:
        """Press a link or a button that leads to a page, and look at that page."""
        with self.page.expect_navigation():
            pressed.click()
        self.look()
        return self.page

    def look(self) -> None:
        """Assert that the page as it stands is cut off nowhere and breaks none of the rules."""
        here = self.page.url.removeprefix(self.url)
        assert self.page.evaluate(CUT_OFF) <= 0, f"{here} is wider than the screen"
        kind = self._kind_of_page(here)
        # a script checks the rules
        if self.scripts and self.checks_rules and kind not in self.looked_at:
            self._breaks_no_rule(here)
        self.looked_at.append(kind)
        if folder := os.environ.get("EVENER_PICTURES"):
            self._keep_picture(Path(folder), here.partition("?")[0].replace("/", "_"))

    def can_be_pressed_with_gloves(self) -> None:
        """Assert that all that is pressed on this page is high enough for a thumb in a glove."""
        small = self.page.evaluate(PRESSED, GLOVE)
        assert small == [], f"too small on {self.page.url}: {small}"

    def _kind_of_page(self, here: str) -> str:
        """Return what makes a page another one: its address, and whether it says something back."""
        address = re.sub(r"\d+", "N", here.partition("?")[0])
        return f"{address} {self.page.evaluate(SAYS)}".strip()

    def _breaks_no_rule(self, here: str) -> None:
        """Assert that the page, all of it unfolded, breaks no rule that a machine can check."""
        self.page.evaluate(UNFOLD)
        self._filled()
        assert self.page.evaluate(CUT_OFF) <= 0, f"{here} unfolds wider than the screen"
        self._keeps_the_rules(here, "html")
        self.page.evaluate(FOLD_AGAIN)
        if (line := self.page.locator(ONE_OF_MANY)).count():
            line.first.click()
            self._filled()
            self._keeps_the_rules(f"{here}, a line opened", "main details[name][open]")
            line.first.click()

    def _filled(self) -> None:
        """Wait until no fold fills any more: lines lie over one another until then."""
        self.page.evaluate(DRAWN_TWICE)
        expect(self.page.locator(".htmx-request")).to_have_count(0)

    def _keeps_the_rules(self, here: str, part: str) -> None:
        found = Axe().run(self.page, part, options=RULES).response["violations"]
        broken = [(v["id"], [n["target"] for n in v["nodes"]][:3]) for v in found]
        assert broken == [], f"{here}: {broken}"

    def _keep_picture(self, folder: Path, name: str) -> None:
        wide = self.page.evaluate("window.innerWidth")
        file = folder / f"{self.who}-{wide}-{len(self.looked_at):02d}{name}.png"
        # Hiding the caret would put a style into the page, which its policy forbids.
        self.page.screenshot(path=file, full_page=True, caret="initial")

    def _stays_home(self, address: str) -> None:
        if not address.startswith((self.url + "/", "data:")):
            self.complaints.append(f"asked another host: {address}")


def visit(browser: Browser, url: str, size: tuple[int, int], **more: Any) -> Visitor:
    """Open a browser window of that size; close its context when done."""
    viewport = {"width": size[0], "height": size[1]}
    context = browser.new_context(viewport=viewport, **more)  # type: ignore[arg-type]
    return Visitor(context, url, scripts=more.get("java_script_enabled", True))
