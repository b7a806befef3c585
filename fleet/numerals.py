"""Numbers as people type them and as files carry them, with points, commas and thousands marks."""

import re
from enum import Enum

GROUPS = re.compile(r"\d{1,3}(?:[.,]\d{3})+")
PLAIN = re.compile(r"[0-9]+(?:\.[0-9]{1,2}|\.[0-9]{4,})?")
"""What can be read in one way only, as most numbers: no comma, no point before three digits."""
LARGEST = 10**10
"""No meter of a machine shows more."""


class Commas(Enum):
    """What a comma means where the number was written."""

    GROUP = "1,204 is one thousand two hundred and four"
    UNSURE = "1,204 may be either"
    DECIMAL = "1,204 is a little more than one; a point before three digits may be either"


def parse_number(text: str, commas: Commas = Commas.UNSURE) -> float:
    """Read a plain number that is not below zero.

    Raises:
        ValueError: with a sentence for the person who wrote it.

    """
    written = text.strip()
    if PLAIN.fullmatch(written):
        return _bounded(float(written), written)
    packed = re.sub(r"(?<=\d)['’\s](?=\d{3}(?!\d))", "", written)
    if packed.startswith(("-", "−")):
        raise ValueError(f"“{written}” is below zero; a meter never is.")
    if not re.fullmatch(r"(?:[0-9]+(?:[.,][0-9]+)*|[.,][0-9]+)", packed):
        raise ValueError(f"“{written}” is not a number; write it in digits, such as 1204.5.")
    return _bounded(float(_with_point(packed, written, commas)), written)


def _bounded(value: float, written: str) -> float:
    if value > LARGEST:
        raise ValueError(f"“{written}” is more than any meter shows; look at the digits again.")
    return value


def _with_point(packed: str, written: str, commas: Commas) -> str:
    marks = re.findall(r"[.,]", packed)
    if not marks:
        return packed
    if len(set(marks)) == 2:
        return _mixed(packed, written, marks[-1])
    if len(marks) > 1:
        return _grouped(packed, written)
    whole, decimals = re.split(r"[.,]", packed)
    could_be_thousands = len(decimals) == 3 and 1 <= len(whole) <= 3 and whole != "0"
    if could_be_thousands and _means_thousands(marks[0], written, commas):
        return whole + decimals
    return f"{whole or '0'}.{decimals}"


def _means_thousands(mark: str, written: str, commas: Commas) -> bool:
    if mark == ",":
        known = {Commas.GROUP: True, Commas.DECIMAL: False}
    else:
        known = {Commas.GROUP: False, Commas.UNSURE: False}
    if commas not in known:
        plain = re.sub(r"[.,]", "", written)
        raise ValueError(f"“{written}” can be read in two ways; write {plain}, or more decimals.")
    return known[commas]


def _mixed(packed: str, written: str, decimal_mark: str) -> str:
    whole, _, decimals = packed.rpartition(decimal_mark)
    if not GROUPS.fullmatch(whole) or decimal_mark in whole:
        raise ValueError(f"“{written}” mixes points and commas; write it as 1204.5.")
    return f"{re.sub('[.,]', '', whole)}.{decimals}"


def _grouped(packed: str, written: str) -> str:
    if not GROUPS.fullmatch(packed):
        raise ValueError(f"“{written}” has more than one decimal mark; write it as 1204.5.")
    return re.sub(r"[.,]", "", packed)
