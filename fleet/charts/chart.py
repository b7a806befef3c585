"""What every chart hands to a page: drawings for wide and narrow screens, a key, a table.  Pure."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from fleet.charts import svg

WIDE, NARROW = 940, 344
"""Widths of the two drawings, in px of the page: text keeps its size on a phone."""


@dataclass(frozen=True)
class KeyEntry:
    """One line of a key: a small drawing of 28 by 16 and what it stands for."""

    sample: str
    words: str


@dataclass(frozen=True)
class Chart:
    """A chart as a page shows it: what it says in a sentence, drawings (SVG, escaped), a table."""

    wide: str
    narrow: str
    title: str
    columns: Sequence[str]
    rows: Sequence[Sequence[str]]
    key: Sequence[KeyEntry] = field(default_factory=tuple)
    says: str = ""


def narrow_or_wide(width: float) -> str:
    """Return the class that shows a drawing on its kind of screen alone."""
    return "chart-narrow" if width == NARROW else "chart-wide"


def hatched_sample(name: str, css: str = "c-hatch") -> str:
    """Return the sample of a hatched box, its pattern its own: a hidden drawing lends none."""
    pattern = svg.hatch(f"{name}-k", css)
    box = svg.rect(1, 1, 26, 14, "c-outline", f' fill="url(#{name}-k)"')
    return f"<defs>{pattern}</defs>{box}"


def box_sample(css: str) -> str:
    """Return the sample of a plain box."""
    return svg.rect(1, 1, 26, 14, css)
