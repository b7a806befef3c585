"""Numbers as people and programs write them in cells: "1,234.5", "1480 h", "1.234,5", "$ 12.50".

What a comma means is inferred from the whole column: one cell that can be read in one way only
decides for the others.
"""

import re
from collections.abc import Iterable
from enum import Enum

from fleet.numerals import PLAIN

NUMBER = re.compile(r"[-−+]?\s*(?:\d[\d.,'’\s\u00a0]*\d|\d|[.,]\d+)")
GROUPED = re.compile(r"\d{1,3}(?:[.,'’\s\u00a0]\d{3})+")
FRACTION = re.compile(r"[\u00bc-\u00be\u2044\u2150-\u215f\u2189]|\d\s*/\s*\d")
"""A half or another part, as one character or with a stroke; the rest of the number alone would be
something else."""
LARGEST = 10**12
LONGEST_PLAIN = 12
"""Digits and point of a number that is surely below the largest."""


class DecimalMark(Enum):
    """Which mark parts whole from tenths in a column."""

    POINT = "."
    COMMA = ","


def mark_of(texts: Iterable[str]) -> DecimalMark | None:
    """Return the decimal mark of a column, or None where every number can be read both ways."""
    votes = {DecimalMark.POINT: 0, DecimalMark.COMMA: 0}
    triples = {".": 0, ",": 0}
    for text in texts:
        match = NUMBER.search(text)
        if not match or not ("." in match[0] or "," in match[0]):
            continue
        number = match[0]
        last = max(number.rfind("."), number.rfind(","))
        mark, other = number[last], "," if number[last] == "." else "."
        if other in number:
            votes[DecimalMark(mark)] += 1
        elif number.count(mark) > 1:
            votes[DecimalMark(other)] += 1
        elif GROUPED.fullmatch(number.strip("-−+ ")) and not number.startswith("0"):
            triples[mark] += 1
        else:
            votes[DecimalMark(mark)] += 1
    if votes[DecimalMark.POINT] != votes[DecimalMark.COMMA]:
        return max(votes, key=lambda mark: votes[mark])
    if triples["."] > 1 and not triples[","]:
        return DecimalMark.COMMA  # nobody writes three decimals throughout: they are thousands
    if triples[","]:
        return DecimalMark.POINT
    return None


def parse_cell(text: str, mark: DecimalMark | None = None) -> tuple[float, str]:
    """Return the number of a cell and what is written beside it, lower case: "h", "mi", "%".

    Raises:
        ValueError: with a sentence for the person who wrote it.

    """
    if PLAIN.fullmatch(text) and len(text) <= LONGEST_PLAIN:
        return float(text), ""
    written = " ".join(text.split())
    refuse_fraction(written)
    match = NUMBER.search(written)
    if not match:
        raise ValueError(f"“{written[:40]}” is not a number.")
    beside = (written[: match.start()] + " " + written[match.end() :]).strip().lower()
    if re.search(r"\d", beside):
        raise ValueError(f"“{written[:40]}” is more than one number.")
    value = _value(match[0], mark)
    if abs(value) > LARGEST:
        raise ValueError(f"“{written[:40]}” is more than can be right.")
    return value, beside.strip(" .:~$€£")


def refuse_fraction(written: str) -> None:
    """Raise ValueError, with a sentence, where a number is written with a fraction."""
    if FRACTION.search(written):
        raise ValueError(f"“{written[:40]}” has a fraction; write it with a point, such as 2.5.")


def _value(number: str, mark: DecimalMark | None) -> float:
    negative = number[0] in "-−"
    bare = re.sub(r"['’\s\u00a0+−-]", "", number)
    points, commas = bare.count("."), bare.count(",")
    if points and commas:
        decimal = "." if bare.rfind(".") > bare.rfind(",") else ","
    elif points + commas > 1:
        decimal = ""
    elif points + commas == 1:
        decimal = _lone(bare, mark)
    else:
        decimal = "."
    thousands = {".": ",", ",": ".", "": ".,"}[decimal]
    for each in thousands:
        bare = bare.replace(each, "")
    try:
        value = float(bare.replace(",", "."))
    except ValueError:
        raise ValueError(f"“{number}” mixes points and commas; write it as 1204.5.") from None
    return -value if negative else value


def _lone(bare: str, mark: DecimalMark | None) -> str:
    """Return what the only mark of a number is: "." or "," for decimals, "" for thousands."""
    own = "." if "." in bare else ","
    whole, _, rest = bare.partition(own)
    if len(rest) != 3 or not 1 <= len(whole) <= 3 or whole == "0":
        return own
    if mark is not None:
        return own if mark.value == own else ""
    return "" if own == "," else "."


def whole(text: str, mark: DecimalMark | None = None) -> int:
    """Return the whole number of a cell.

    Raises:
        ValueError: it is none, or has tenths.

    """
    value, _ = parse_cell(text, mark)
    if value != int(value):
        raise ValueError(f"“{text}” is not a whole number.")
    return int(value)
