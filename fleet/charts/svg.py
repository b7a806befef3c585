"""Pieces of a drawing as strings.  Pure.

Colours come from classes of the style sheet, so that one drawing serves light, dark and paper; no
style attribute is ever written, since the site's content policy forbids them.  Coordinates are in
the units of the drawing, x to the right, y downwards.
"""

from collections.abc import Iterable
from html import escape

Point = tuple[float, float]


def number(value: float) -> str:
    """Return a coordinate with one decimal, without a tail of zeros."""
    return f"{value:.1f}".rstrip("0").rstrip(".")


def rect(x: float, y: float, width: float, height: float, css: str, more: str = "") -> str:
    """Return a rectangle; one without height or width is left out."""
    if width <= 0 or height <= 0:
        return ""
    return (
        f'<rect class="{css}" x="{number(x)}" y="{number(y)}" width="{number(width)}" '
        f'height="{number(height)}"{more}/>'
    )


def line(start: Point, end: Point, css: str) -> str:
    """Return a straight line."""
    (x1, y1), (x2, y2) = start, end
    return (
        f'<line class="{css}" x1="{number(x1)}" y1="{number(y1)}" '
        f'x2="{number(x2)}" y2="{number(y2)}"/>'
    )


def path(points: Iterable[Point], css: str, *, closed: bool = False) -> str:
    """Return a line through points, or the area that they enclose."""
    steps = " ".join(f"{number(x)} {number(y)}" for x, y in points)
    return f'<path class="{css}" d="M{steps}{"Z" if closed else ""}"/>' if steps else ""


def circle(centre: Point, radius: float, css: str) -> str:
    """Return a circle."""
    x, y = centre
    return f'<circle class="{css}" cx="{number(x)}" cy="{number(y)}" r="{number(radius)}"/>'


def cross(centre: Point, arm: float = 4) -> str:
    """Return a cross: a reading that was not believed."""
    x, y = centre
    return "".join(
        line((x - arm, y - arm * turn), (x + arm, y + arm * turn), "c-cross") for turn in (1, -1)
    )


def text(at: Point, words: str, css: str = "", anchor: str = "start") -> str:
    """Return words at a point; anchor is start, middle or end."""
    x, y = at
    kind = f' class="{css}"' if css else ""
    return (
        f'<text{kind} x="{number(x)}" y="{number(y)}" text-anchor="{anchor}">{escape(words)}</text>'
    )


def hatch(name: str, css: str = "c-hatch", gap: float = 6) -> str:
    """Return a pattern of slanted lines, told apart from a plain colour on grey paper too."""
    return (
        f'<pattern id="{name}" width="{gap:g}" height="{gap:g}" patternUnits="userSpaceOnUse" '
        f'patternTransform="rotate(45)"><rect class="c-back" width="{gap:g}" height="{gap:g}"/>'
        f'<line class="{css}" x1="0" y1="0" x2="0" y2="{gap:g}"/></pattern>'
    )


def picture(name: str, size: Point, words: tuple[str, str], body: str, css: str = "") -> str:
    """Return the whole drawing; words are its name and its description for who cannot see it."""
    width, height = size
    title, description = words
    return (
        f'<svg class="chart {css}" role="img" viewBox="0 0 {number(width)} {number(height)}" '
        f'aria-labelledby="{name}-t {name}-d"><title id="{name}-t">{escape(title)}</title>'
        f'<desc id="{name}-d">{escape(description)}</desc>{body}</svg>'
    )
