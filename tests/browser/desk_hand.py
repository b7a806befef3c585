"""The hand of a desk person: by mouse or by keyboard alone, every press counted.

Seconds are those that a person would need by the keystroke-level model (S. K. Card, T. P. Moran and
A. Newell, "The keystroke-level model for user performance time with interactive systems",
Communications of the ACM 23 (1980) 396-410): a key 0.28 s, pointing 1.1 s, a press of the mouse
0.2 s, the hand moved between mouse and keys 0.4 s, a thought before each act 1.35 s.  The figures
are from memory.  The time that the site takes is measured beside it.
"""

import time
from dataclasses import dataclass
from datetime import date

from playwright.sync_api import Locator, Page

KEY, POINT, PRESS, HOME, THOUGHT = 0.28, 1.1, 0.2, 0.4, 1.35
MOST_TABS = 150
TICKED = ("radio", "checkbox")
FOCUSED = "each => each === document.activeElement"


@dataclass
class DeskHand:
    """One person at one page; keys: by keyboard alone."""

    page: Page
    keys: bool = False
    presses: int = 0
    tabs: int = 0
    typed: int = 0
    seconds: float = 0.0
    waited: float = 0.0
    on_keys: bool = False

    def press(self, wanted: Locator, *, leads: bool = True) -> None:
        """Press a button or a link, or open a fold; leads: to another page."""
        self.presses += 1
        self._reach(wanted)
        began = time.perf_counter()
        if leads:
            with self.page.expect_navigation():
                self._hit(wanted, "Enter")
        else:
            self._hit(wanted, "Space" if wanted.get_attribute("type") in TICKED else "Enter")
        self.waited += time.perf_counter() - began

    def type(self, field: Locator, text: str | date) -> None:
        """Type into a field what it then holds."""
        self.presses += 1
        self._reach(field)
        if not self.on_keys and not self.keys:
            self.seconds += HOME
            self.on_keys = True
        said = text.isoformat() if isinstance(text, date) else text
        field.fill(said)
        keys = 8 if isinstance(text, date) else len(said)
        self.typed += keys
        self.seconds += keys * KEY

    def choose(self, field: Locator, label: str) -> None:
        """Choose one of a list."""
        self.presses += 1
        self._reach(field)
        field.select_option(label=label)
        if self.keys:
            self.typed += min(len(label), 4)
            self.seconds += min(len(label), 4) * KEY
        else:
            self.presses += 1
            self.seconds += 2 * PRESS + POINT

    def _reach(self, wanted: Locator) -> None:
        self.seconds += THOUGHT
        if self.keys:
            self._tab_to(wanted)
            return
        if self.on_keys:
            self.seconds += HOME
            self.on_keys = False
        self.seconds += POINT

    def _tab_to(self, wanted: Locator) -> None:
        wanted = wanted.first
        if not wanted.evaluate(FOCUSED):
            for _ in range(MOST_TABS):
                self.page.keyboard.press("Tab")
                self.tabs += 1
                self.seconds += KEY
                if wanted.evaluate(FOCUSED):
                    return
            raise AssertionError(f"{MOST_TABS} tabs do not reach {wanted} on {self.page.url}")

    def _hit(self, wanted: Locator, key: str) -> None:
        if self.keys:
            self.page.keyboard.press(key)
            self.seconds += KEY
        else:
            wanted.first.click()
            self.seconds += PRESS
