"""Measured values as people write them: a number, perhaps with its unit.

Pure.  A unit of the same kind is turned into the limit's own; another is named as wrong, so that
nobody is told that 32 psi is no number.
"""

import re

from fleet.numerals import parse_number

MINUS = ("-", "−", "–")
"""What people type before a number below zero."""

FAMILIES: tuple[dict[str, float], ...] = (
    {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "inch": 25.4, "inches": 25.4, '"': 25.4},
    {"kpa": 1.0, "bar": 100.0, "psi": 6.894757, "mpa": 1000.0},
    {"n m": 1.0, "nm": 1.0, "lb ft": 1.355818, "ft lb": 1.355818, "ft-lb": 1.355818},
    {"s": 1.0, "sec": 1.0, "second": 1.0, "seconds": 1.0, "min": 60.0},
    {"ml": 1.0, "l": 1000.0, "qt": 946.352946, "gal": 3785.411784},
    {"v": 1.0, "volt": 1.0, "volts": 1.0},
    {"%": 1.0, "percent": 1.0},
    {"°c": 1.0, "c": 1.0},
    {"°f": 1.0, "f": 1.0},
)
"""Units that say the same quantity, each in a common one (factors: NIST SP 811, 2008, appendix B;
from memory; degrees are not turned into each other)."""


def parse_measured(text: str, unit: str) -> float:
    """Read a measured value, which may lie below zero, in the limit's unit.

    Raises:
        ValueError: with a sentence for the person who wrote it.

    """
    written = text.strip()
    below_zero = written.startswith(MINUS)
    number, word = _split(written[1:] if below_zero else written)
    try:
        value = parse_number(number)
    except ValueError:
        raise ValueError(f"“{written}” is not a number; write it in digits, such as 2.5.") from None
    return (-value if below_zero else value) * _factor(word, unit)


def _split(text: str) -> tuple[str, str]:
    """Return the number and the unit behind it: a word or a sign such as % or °C."""
    match = re.fullmatch(r"([\d\s.,'’]*\d)\s*([^\d\s.,'’][^\d]*?)\.?", text.strip())
    return (match[1], match[2].strip()) if match else (text.strip(), "")


def _factor(word: str, unit: str) -> float:
    asked, given = unit.lower().strip(". "), word.lower().strip(". ")
    if not given or given == asked:
        return 1.0
    for family in FAMILIES:
        if given in family and asked in family:
            return family[given] / family[asked]
    wanted = f"it is measured in {unit}" if unit else "it has no unit"
    raise ValueError(f"“{word}” is the wrong unit here: {wanted}. Write the number alone.")
