"""State marks: a shape, a colour and a word for each state, as inline SVG.  Pure.

Colours follow the alert code of ISO 22324:2022 and are never the only sign.  The shapes are our
own, after the road-sign shapes of the MUTCD, 11th edition (2023), section 2A.07: the octagon says
stop, the diamond warns of what lies ahead.
"""

from dataclasses import dataclass
from html import escape


@dataclass(frozen=True)
class Mark:
    """How one state is shown: its word, its shape in a box of 24 by 24, a sign for plain text."""

    word: str
    shape: str
    sign: str


MARKS = {
    "held": Mark(
        "held",
        '<path class="fill-held" d="M8 1h8l7 7v8l-7 7H8l-7-7V8z"/>'
        '<path class="mark-inner" stroke-width="1.6" d="M9 4h6l5 5v6l-5 5H9l-5-5V9z"/>',
        "[HELD]",
    ),
    "overdue": Mark(
        "overdue",
        '<rect class="fill-overdue" x="2" y="2" width="20" height="20" rx="2"/>'
        '<rect class="mark-bar" x="5.5" y="9.8" width="13" height="4.4"/>',
        "[!!]",
    ),
    "due": Mark(
        "due",
        '<path class="fill-due mark-outline" stroke-width="1.6" stroke-linejoin="round" '
        'd="M12 2.2 22.6 21H1.4z"/>',
        "[!]",
    ),
    "coming": Mark(
        "coming due",
        '<path class="fill-coming mark-outline" stroke-width="1.6" stroke-linejoin="round" '
        'd="M12 1.2 22.8 12 12 22.8 1.2 12z"/>',
        "[>]",
    ),
    "clear": Mark(
        "clear",
        '<circle class="stroke-clear" cx="12" cy="12" r="8.2" fill="none" stroke-width="4.4"/>',
        "[ok]",
    ),
    "unknown": Mark(
        "not known",
        '<rect class="fill-unknown" x="2.5" y="9.6" width="19" height="4.8" rx="1"/>',
        "[-]",
    ),
}
"""State code -> mark, worst first.  A code that is not here is shown as not known."""


def mark_of(state: str) -> Mark:
    """Return the mark of a state code."""
    return MARKS.get(state, MARKS["unknown"])


def shape_svg(state: str) -> str:
    """Return the mark's shape alone; the word must stand beside it."""
    return f'<svg viewBox="0 0 24 24" aria-hidden="true">{mark_of(state).shape}</svg>'


def mark_html(state: str, word: object = "", size: str = "") -> str:
    """Return shape and word together; a word of one's own takes the place of the state's."""
    css = f"mark mark-{size}" if size in ("small", "large") else "mark"
    text = escape(str(word) if word else mark_of(state).word)
    return f'<span class="{css}">{shape_svg(state)}<span>{text}</span></span>'
