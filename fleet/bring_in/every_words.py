"""How often a service recurs, in trade words: "250 h or 12 months", "every 3,000 mi", "2 years"."""

import re
from dataclasses import dataclass

from fleet.bring_in.headings import plain
from fleet.bring_in.number_cells import DecimalMark, parse_cell, refuse_fraction

PIECE = re.compile(r"(\d[\d.,\s]*\d|\d)?\s*([a-zA-Zà-üÀ-Ü%]+)")
MONTHS = {"month": 1, "months": 1, "mo": 1, "mos": 1, "mth": 1, "meses": 1, "mes": 1, "mois": 1,
          "monat": 1, "monate": 1, "year": 12, "years": 12, "yr": 12, "yrs": 12, "yearly": 12,
          "annual": 12, "annually": 12, "ano": 12, "anos": 12, "an": 12, "ans": 12, "jahr": 12,
          "jahre": 12, "quarterly": 3, "monthly": 1}  # fmt: skip
"""Words of the calendar -> months."""
DAYS = {"day": 1, "days": 1, "d": 1, "dias": 1, "dia": 1, "jour": 1, "jours": 1, "tag": 1,
        "tage": 1, "daily": 1, "week": 7, "weeks": 7, "wk": 7, "wks": 7, "weekly": 7,
        "semanas": 7, "semaine": 7, "semaines": 7, "woche": 7, "wochen": 7}  # fmt: skip
"""Words of the calendar -> days."""
LAW = {"yes", "y", "x", "true", "1", "law", "hard", "si", "oui", "ja", "by law", "legal"}


@dataclass(frozen=True)
class Recurs:
    """What was said: (number, unit word) on a meter, months, days; None for a side not said."""

    meter: tuple[float, str] | None = None
    months: int | None = None
    days: int | None = None


def recurs(text: str, unit: str = "", mark: DecimalMark | None = None) -> Recurs:
    """Read how often; unit: of a number that stands alone, as the heading says it.

    Raises:
        ValueError: with a sentence for the person who wrote it.

    """
    refuse_fraction(text)
    meter: tuple[float, str] | None = None
    months = days = None
    for number, word in _pieces(text, unit):
        name = plain(word)
        size = parse_cell(number, mark)[0] if number else 1.0
        if name in MONTHS:
            months = _whole(size * MONTHS[name], text)
        elif name in DAYS:
            days = _whole(size * DAYS[name], text)
        elif number:
            if meter:
                raise ValueError(f"“{text}” has two meters; write the first that counts.")
            meter = (size, word.lower())
    if not (meter or months or days):
        raise ValueError(f"“{text}” does not say how often; write it as 250 h or 12 months.")
    return Recurs(meter, months, days)


def _pieces(text: str, unit: str) -> list[tuple[str, str]]:
    if re.fullmatch(r"[\d.,\s]+", text):
        return [(text, unit)]
    pieces = [(number or "", word) for number, word in PIECE.findall(text)]
    return [(n, w) for n, w in pieces if n or plain(w) in MONTHS or plain(w) in DAYS]


def _whole(size: float, text: str) -> int:
    if size != int(size) or size < 1:
        raise ValueError(f"“{text}”: write months or days as a whole number.")
    return int(size)


def by_law(text: str) -> bool:
    """Whether a cell says yes."""
    return plain(text) in LAW
