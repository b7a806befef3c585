"""Measured values as people write them: a number or a fraction, perhaps with its unit.

Pure.  A unit of the same kind is turned into the limit's own; another is named as wrong, so that
nobody is told that 32 psi is no number.
"""

import re
import unicodedata

from fleet.numerals import parse_number

MINUS = ("-", "−", "–")
"""What people type before a number below zero."""

FAMILIES: tuple[dict[str, float], ...] = (
    {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "inch": 25.4, "inches": 25.4, '"': 25.4,
     "″": 25.4, "ft": 304.8, "foot": 304.8, "feet": 304.8, "thou": 0.0254, "µm": 0.001},
    {"kpa": 1.0, "bar": 100.0, "psi": 6.894757, "mpa": 1000.0, "mbar": 0.1},
    {"n m": 1.0, "nm": 1.0, "lb ft": 1.355818, "ft lb": 1.355818, "ft-lb": 1.355818,
     "in-lb": 0.1129848},
    {"s": 1.0, "sec": 1.0, "second": 1.0, "seconds": 1.0, "min": 60.0, "ms": 0.001},
    {"ml": 1.0, "l": 1000.0, "pt": 473.176473, "qt": 946.352946, "gal": 3785.411784},
    {"v": 1.0, "volt": 1.0, "volts": 1.0, "mv": 0.001, "kv": 1000.0},
    {"a": 1.0, "amp": 1.0, "amps": 1.0, "ma": 0.001},
    {"%": 1.0, "percent": 1.0},
    {"db(a)": 1.0, "dba": 1.0, "db": 1.0},
    {"kg": 1.0, "g": 0.001, "lb": 0.45359237, "lbs": 0.45359237},
    {"n": 1.0, "kn": 1000.0, "lbf": 4.448222},
    {"km": 1.0, "mi": 1.609344, "mile": 1.609344, "miles": 1.609344},
    {"km/h": 1.0, "kph": 1.0, "mph": 1.609344},
    {"l/min": 1.0, "gpm": 3.785411784, "gal/min": 3.785411784},
    {"rpm": 1.0, "r/min": 1.0, "/min": 1.0},
    {"hz": 1.0, "khz": 1000.0},
    {"mω": 1.0, "megohm": 1.0, "megohms": 1.0, "kω": 0.001, "gω": 1000.0, "ω": 1e-6, "ohm": 1e-6},
)  # fmt: skip
"""Units that say the same quantity, each in a common one (factors: NIST SP 811, 2008, appendix B;
from memory).  A sound level meter is read in dB(A), whatever is written behind it, and insulation
in millions of ohms (common practice)."""

CELSIUS, FAHRENHEIT = ("°c", "c", "celsius"), ("°f", "f", "fahrenheit")
"""How degrees are written; t/°F = 1.8 t/°C + 32 (NIST SP 811, 2008, appendix B; from memory)."""

OF_AN_INCH = (16, 32, 64)
"""Parts in which an inch alone is told: a tread gauge is read in 32nds (common practice)."""

METRIC_LENGTHS = ("mm", "cm", "m")
"""Lengths that are not told in fractions."""

FRACTION = re.compile(r"(?:(\d+)(?:\s+|\s*-\s*))?(\d+)\s*[/⁄]\s*(\d+)(?!\s*[\d/⁄])\s*(\D*)")
"""A fraction, with whole ones before it or none, and the unit behind it."""


def parse_measured(text: str, unit: str) -> float:
    """Read a measured value, which may lie below zero, in the limit's unit.

    Raises:
        ValueError: with a sentence for the person who wrote it.

    """
    written = text.strip()
    below_zero = written.startswith(MINUS)
    value, word = _read(written[1:] if below_zero else written, written, unit)
    return in_unit(-value if below_zero else value, word, unit)


def _read(text: str, written: str, unit: str) -> tuple[float, str]:
    """Return a number that is not below zero, and the unit behind it."""
    match = FRACTION.fullmatch(_spelt_out(text))
    if match and int(match[3]):
        value = int(match[1] or 0) + int(match[2]) / int(match[3])
        return value, match[4].strip(" .") or _unit_of_parts(int(match[3]), written, unit)
    number, word = _split(text)
    try:
        return parse_number(number), word
    except ValueError:
        raise ValueError(f"“{written}” is not a number; write it in digits, such as 2.5.") from None


def _spelt_out(text: str) -> str:
    """Return a text with one sign for a fraction, such as ½, written as 1/2."""
    return "".join(
        f" {unicodedata.normalize('NFKC', one)}" if "VULGAR" in unicodedata.name(one, "") else one
        for one in text.strip()
    ).strip()


def _unit_of_parts(parts: int, written: str, unit: str) -> str:
    """Return the unit of a fraction that has none behind it: a metric length has no 32nds."""
    if unit.lower() not in METRIC_LENGTHS:
        return ""
    if parts in OF_AN_INCH:
        return "in"
    raise ValueError(f"“{written}” may be inches or {unit}; write the unit with it.")


def _split(text: str) -> tuple[str, str]:
    """Return the number and the unit behind it: a word or a sign such as % or °C."""
    match = re.fullmatch(r"([\d\s.,'’]*\d)\s*([^\d\s.,'’][^\d]*?)\.?", text.strip())
    return (match[1], match[2].strip()) if match else (text.strip(), "")


def in_unit(value: float, word: str, unit: str) -> float:
    """Turn a value from the unit that stands beside it into another of the same kind.

    Raises:
        ValueError: they are not of one kind; with a sentence for the person who wrote it.

    """
    given, asked = _plain(word), _plain(unit)
    if not given or given == asked:
        return value
    for family in FAMILIES:
        if given in family and asked in family:
            return value * family[given] / family[asked]
    if given in CELSIUS + FAHRENHEIT and asked in CELSIUS + FAHRENHEIT:
        return _degrees(value, given in CELSIUS, asked in CELSIUS)
    wanted = f"it is measured in {unit}" if unit else "it has no unit"
    raise ValueError(f"“{word}” is the wrong unit here: {wanted}. Write the number alone.")


def _plain(unit: str) -> str:
    """Return a unit as the tables have it; the two signs for micro are one."""
    said = re.sub(r"[·⋅*]", " ", unit.lower().replace("μ", "µ")).strip(". ")
    return re.sub(r"\s+", " ", re.sub(r"^(?:°|º|deg(?:rees?)?)\s*", "°", said))


def _degrees(value: float, from_celsius: bool, to_celsius: bool) -> float:
    if from_celsius == to_celsius:
        return value
    return value * 1.8 + 32 if from_celsius else (value - 32) / 1.8
