"""Pictures of steps on a printed card: our own drawings as lines, a shop's photo as an image.

Drawings are read from the same files that pages show.  They hold a few plain elements of SVG
(W3C SVG 1.1): rect, line, polyline, polygon, circle, text, and paths of M, L, C and Z alone.
"""

import re
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any

from defusedxml import ElementTree
from django.conf import settings
from django.contrib.staticfiles import finders
from reportlab.graphics.shapes import (
    Circle,
    Drawing,
    Group,
    Line,
    Polygon,
    PolyLine,
    Rect,
    Shape,
    String,
)
from reportlab.graphics.shapes import Path as Curve
from reportlab.lib import colors
from reportlab.platypus import Flowable, Image

from fleet.photo_files import kept_small
from fleet.procedures import ShownPicture
from fleet.procedures.drawings import HIGH, STATIC, WIDE

PIXELS = 400
"""Of the longer side of a photo: as fine as a printer shows it at this size."""
TOKEN = re.compile(r"[MLCZ]|-?[\d.]+")


def card_picture(picture: ShownPicture, wide: float) -> Flowable | None:
    """Return a picture to be printed, so many points wide; None where its file is gone."""
    return _photo(picture, wide) if picture.file else _drawing(picture.drawing, wide)


def _photo(picture: ShownPicture, wide: float) -> Flowable | None:
    try:
        small = kept_small(Path(settings.PHOTOS), picture.file, PIXELS)
    except OSError:
        return None
    high = wide * HIGH / WIDE
    share = min(wide / picture.wide, high / picture.high)
    return Image(BytesIO(small), picture.wide * share, picture.high * share)


def _drawing(name: str, wide: float) -> Drawing:
    share = wide / WIDE
    drawn = Drawing(wide, HIGH * share)
    lines = Group(*_shapes(name), transform=(share, 0, 0, -share, 0, HIGH * share))
    drawn.add(lines)
    return drawn


@cache
def _shapes(name: str) -> tuple[Shape, ...]:
    """Return the shapes of a drawing, y downwards as in its file."""
    file = finders.find(f"{STATIC}/{name}.svg")
    root = ElementTree.parse(file).getroot()
    return tuple(_shape(one.tag.rpartition("}")[2], one) for one in root)


def _shape(kind: str, one: Any) -> Shape:
    def number(name: str) -> float:
        return float(one.get(name, 0))

    look = {
        "strokeWidth": number("stroke-width"),
        "strokeColor": None if one.get("stroke") == "none" else colors.black,
        "fillColor": _colour(one.get("fill", "none")),
    }
    match kind:
        case "rect":
            shape = Rect(number("x"), number("y"), number("width"), number("height"))
        case "circle":
            shape = Circle(number("cx"), number("cy"), number("r"))
        case "line":
            shape = Line(number("x1"), number("y1"), number("x2"), number("y2"))
        case "polyline" | "polygon":
            points = [float(each) for each in re.findall(r"-?[\d.]+", one.get("points"))]
            shape = Polygon(points) if kind == "polygon" else PolyLine(points)
        case "path":
            shape = _curve(one.get("d"))
        case _:
            return _figure(one, number("x"), number("y"), number("font-size"))
    dashes = one.get("stroke-dasharray")
    if dashes:
        look["strokeDashArray"] = [float(each) for each in dashes.split()]
    known = shape.getProperties()
    shape.setProperties({key: value for key, value in look.items() if key in known})
    return shape


def _figure(one: Any, across: float, down: float, size: float) -> Group:
    """Return a figure or letter, upright although y goes down."""
    word = String(0, 0, one.text, fontName="Helvetica-Bold", fontSize=size, textAnchor="middle")
    return Group(word, transform=(1, 0, 0, -1, across, down))


def _curve(told: str) -> Curve:
    curve = Curve()
    tokens = TOKEN.findall(told)
    at, verb = 0, ""
    while at < len(tokens):
        if tokens[at].isalpha():
            verb, at = tokens[at], at + 1
        count = {"M": 2, "L": 2, "C": 6, "Z": 0}[verb]
        values = [float(each) for each in tokens[at : at + count]]
        {"M": curve.moveTo, "L": curve.lineTo, "C": curve.curveTo, "Z": curve.closePath}[verb](
            *values
        )
        at += count
    return curve


def _colour(said: str) -> Any:
    if said == "none":
        return None
    return colors.HexColor("#" + "".join(sign * 2 for sign in said[1:]))
