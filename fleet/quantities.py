"""Quantities: SI in store, the yard's units on screen.

Stored: hours, metres and cycles on meters, millilitres of fluids.  The factors are exact: the
inch is 25.4 mm (NIST SP 811, 2008, appendix B), the mile 5,280 feet of 12 inches and the US
gallon 231 cubic inches of four quarts (NIST Handbook 44, appendix C; from memory).
"""

import re

from fleet.models import MeterKind, Units
from fleet.numerals import LARGEST, PLAIN, Commas, parse_number

MILE = 1609.344
"""Metres in a mile."""
KILOMETRE = 1000.0
"""Metres in a kilometre."""
MINUTE = 1 / 60
"""Hours in a minute."""
QUART = 946.352946
"""Millilitres in a US quart."""
GALLON = 4 * QUART
"""Millilitres in a US gallon."""
FLUID_OUNCE = QUART / 32
"""Millilitres in a US fluid ounce."""

UNIT_WORDS = {
    MeterKind.HOURS: {
        "h": 1.0,
        "hr": 1.0,
        "hrs": 1.0,
        "hour": 1.0,
        "hours": 1.0,
        "min": MINUTE,
        "mins": MINUTE,
        "minute": MINUTE,
        "minutes": MINUTE,
    },
    MeterKind.DISTANCE: {
        "mi": MILE,
        "mile": MILE,
        "miles": MILE,
        "km": KILOMETRE,
        "kms": KILOMETRE,
        "kilometre": KILOMETRE,
        "kilometres": KILOMETRE,
        "kilometer": KILOMETRE,
        "kilometers": KILOMETRE,
        "m": 1.0,
        "metres": 1.0,
        "meters": 1.0,
    },
    MeterKind.CYCLES: {"cycle": 1.0, "cycles": 1.0},
}
"""Units that may follow a number, by kind of meter, in the stored unit."""


def unit_of(kind: str, units: str) -> str:
    """Return the short name of a meter's unit in a yard: h, mi, km or cycles."""
    if kind == MeterKind.DISTANCE:
        return "mi" if units == Units.US else "km"
    return "h" if kind == MeterKind.HOURS else "cycles"


def unit_size(kind: str, units: str) -> float:
    """Return the yard's unit of a meter in the stored unit."""
    return UNIT_WORDS[MeterKind(kind)][unit_of(kind, units)]


def show_use(value: float, kind: str, units: str) -> str:
    """Show a meter quantity in the yard's units: "23.4 h", "1,204 mi", "318 cycles"."""
    decimals = 1 if kind == MeterKind.HOURS else 0
    shown = round(value / unit_size(kind, units), decimals) + 0.0  # no minus before a zero
    return f"{shown:,.{decimals}f} {unit_of(kind, units)}"


def show_step(value: float, kind: str, units: str) -> str:
    """Show a difference on a meter, whole where it is whole: "198 h", "0.4 h", "12 mi"."""
    return show_use(value, kind, units).replace(".0 ", " ")


def plain_use(value: float, kind: str, units: str) -> str:
    """Show a meter quantity as it may be typed again, without unit and thousands mark: "1204.5"."""
    return f"{round(value / unit_size(kind, units), 3):.3f}".rstrip("0").rstrip(".")


def parse_use(text: str, kind: str, units: str, commas: Commas | None = None) -> float:
    """Read a meter quantity as typed in a yard, with or without its unit; returns stored units.

    Raises:
        ValueError: with a sentence for the person who typed it.

    """
    plain, _, unit = text.partition(" ")
    size = UNIT_WORDS[MeterKind(kind)].get(unit)
    if size is not None and PLAIN.fullmatch(plain) and (shown := float(plain)) <= LARGEST:
        return shown * size  # as most rows of a file are
    number, word = _split(text)
    if commas is None:
        commas = Commas.GROUP if units == Units.US else Commas.UNSURE
    return parse_number(number, commas) * (_size(word, kind) if word else unit_size(kind, units))


def _split(text: str) -> tuple[str, str]:
    written = text.strip()
    if not written:
        raise ValueError("No reading is given; write what the meter shows, such as 412.5.")
    match = re.fullmatch(r"(.*\d)\s*([A-Za-z]+)\.?", written)
    return (match[1], match[2].lower()) if match else (written, "")


def _size(word: str, kind: str) -> float:
    known = UNIT_WORDS[MeterKind(kind)]
    if word not in known:
        label = MeterKind(kind).label.lower()
        fitting = {"hours": "h", "distance": "mi or km", "cycles": "no unit"}[kind]
        raise ValueError(
            f"“{word}” is not a unit of an {label}; write {fitting}."
            if label[0] in "aeiouh"
            else f"“{word}” is not a unit of a {label}; write {fitting}."
        )
    return known[word]


VOLUME_WORDS = {
    "ml": 1.0, "l": 1000.0, "litre": 1000.0, "litres": 1000.0, "liter": 1000.0, "liters": 1000.0,
    "qt": QUART, "qts": QUART, "quart": QUART, "quarts": QUART,
    "gal": GALLON, "gals": GALLON, "gallon": GALLON, "gallons": GALLON,
    "fl oz": FLUID_OUNCE, "oz": FLUID_OUNCE, "pt": QUART / 2, "pint": QUART / 2,
}  # fmt: skip
"""Units that may follow a volume, in millilitres."""


def parse_volume(text: str, units: str) -> float:
    """Read a volume as typed in a yard, with or without its unit; returns millilitres.

    Raises:
        ValueError: with a sentence for the person who typed it.

    """
    usual = "L" if units == Units.METRIC else "qt"
    match = re.fullmatch(r"(.*\d)\s*([A-Za-z ]+?)\.?", text.strip())
    number, word = (match[1], match[2].lower()) if match else (text, usual.lower())
    if word not in VOLUME_WORDS:
        raise ValueError(f"“{word}” is not a unit of volume; write it as 3.5 {usual}.")
    commas = Commas.GROUP if units == Units.US else Commas.UNSURE
    return parse_number(number, commas) * VOLUME_WORDS[word]


def show_volume(millilitres: float, units: str) -> str:
    """Show a volume in the yard's units: "3.5 qt", "6.2 gal", "3.3 L"; small ones finer."""
    return show_volume_beside(millilitres, millilitres, units)


def show_volume_beside(millilitres: float, need: float, units: str) -> str:
    """Show a volume in the unit that fits another, so that the two can be compared."""
    if units == Units.METRIC:
        return f"{millilitres / 1000:,.1f} L" if need >= 100 else f"{millilitres:.0f} mL"
    if need >= 4 * GALLON:
        return f"{millilitres / GALLON:,.1f} gal"
    if need >= QUART / 4:
        return f"{millilitres / QUART:.1f} qt"
    return f"{millilitres / FLUID_OUNCE:.1f} fl oz"
