"""Dates and times as people write them in columns, the order of day and month from all of them.

3/12/2025 alone may be two days; a column that also has 25/12/2025 is day first throughout.  Where
the whole column can be read both ways it is for a person to say, and the yard's usual order (month
first where it has US units) stands until then.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo
from enum import StrEnum
from functools import lru_cache

from fleet.bring_in.headings import plain
from fleet.intake.reading_dates import When, parse_when

NUMERIC = re.compile(r"(?<!\d)(\d{1,2})\s?([./-])\s?(\d{1,2})\s?\2\s?(\d{4}|\d{2})(?!\d)")
YEAR_FIRST = re.compile(r"(?<!\d)(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?!\d)")
WEEKDAY = re.compile(r"\b(mon|tue|wed|thu|fri|sat|sun)[a-z]*\b\.?", re.IGNORECASE)
PLAIN = re.compile(r"\d{4}-\d{2}-\d{2}(?:[ T]\d{2}:\d{2}(?::\d{2})?)?")
SERIAL = re.compile(r"\d{5}(?:[.,]\d+)?")
FIRST_SERIAL, LAST_SERIAL = 14_000, 80_000
"""Days since 30 Dec 1899 that are taken as a date: 1938 to 2119 (ECMA-376 part 1, 18.17.4.1)."""
EPOCH = datetime(1899, 12, 30)  # noqa: DTZ001  a cell knows no zone
MONTH_WORDS = {
    "ene": "jan", "enero": "jan", "januar": "jan", "janvier": "jan", "janv": "jan",
    "febrero": "feb", "februar": "feb", "fevrier": "feb", "fevr": "feb", "fev": "feb",
    "marzo": "mar", "marz": "mar", "maerz": "mar", "mars": "mar", "abr": "apr", "abril": "apr",
    "avril": "apr", "avr": "apr", "mayo": "may", "mai": "may", "junio": "jun", "juni": "jun",
    "juin": "jun", "julio": "jul", "juli": "jul", "juillet": "jul", "juil": "jul",
    "ago": "aug", "agosto": "aug", "aout": "aug", "septiembre": "sep", "septembre": "sep",
    "sept": "sep", "octubre": "oct", "oktober": "oct", "okt": "oct", "octobre": "oct",
    "noviembre": "nov", "novembre": "nov", "dic": "dec", "diciembre": "dec", "dez": "dec",
    "dezember": "dec", "decembre": "dec",
}  # fmt: skip
"""Months in Spanish, French and German -> as English shortens them."""


class DateOrder(StrEnum):
    """What comes first in 3/12/2025."""

    MONTH_FIRST = "month"
    DAY_FIRST = "day"


@dataclass
class OrderSeen:
    """What the dates of a column say of their order, taken one by one."""

    day_first: int = 0
    month_first: int = 0
    either: int = 0
    future_if_day_first: int = 0
    future_if_month_first: int = 0
    example: str = ""

    def look(self, text: str, today: date | None = None) -> None:
        """Take one date in; with a day of today, dates after it speak against their order."""
        match = NUMERIC.search(text)
        if not match:
            return
        first, mark, second = int(match[1]), match[2], int(match[3])
        if first > 12 >= second or (mark == "." and second <= 12):
            self.day_first += 1
        elif second > 12 >= first:
            self.month_first += 1
        elif first != second:
            self.either += 1
            self.example = self.example or match[0]
            if today:
                year = _year(match[4])
                self.future_if_day_first += _after(year, second, first, today)
                self.future_if_month_first += _after(year, first, second, today)

    @property
    def order(self) -> DateOrder | None:
        """The order of the column, or None where it can be read both ways, or in both."""
        if bool(self.day_first) != bool(self.month_first):
            return DateOrder.DAY_FIRST if self.day_first else DateOrder.MONTH_FIRST
        if self.day_first:
            return None
        if bool(self.future_if_day_first) != bool(self.future_if_month_first):
            later = self.future_if_day_first
            return DateOrder.MONTH_FIRST if later else DateOrder.DAY_FIRST
        return None

    @property
    def mixed(self) -> bool:
        """Whether some dates can only be day first and others only month first."""
        return bool(self.day_first and self.month_first)

    @property
    def ambiguous(self) -> bool:
        """Whether somebody has to say the order."""
        return bool(self.either) and self.order is None


def look_at_order(texts: Iterable[str], today: date | None = None) -> OrderSeen:
    """Look at all dates of a column; today: where none of them can lie in the future."""
    seen = OrderSeen()
    for text in texts:
        seen.look(text, today)
    return seen


def _after(year: int, month: int, day: int, today: date) -> bool:
    try:
        return date(year, month, day) > today + timedelta(days=1)
    except ValueError:
        return True


def _year(text: str) -> int:
    year = int(text)
    if len(text) == 4:
        return year
    return 2000 + year if year < 70 else 1900 + year


def moment_of(text: str, zone: tzinfo, now: datetime, order: DateOrder | None) -> When:
    """Read a date, with or without a time, by the order of its column.

    Raises:
        ValueError: with a sentence for the person who wrote it.

    """
    written = " ".join(text.split())
    if SERIAL.fullmatch(written):
        return parse_when(_of_serial(float(written.replace(",", "."))), zone, now)
    try:
        return parse_when(written, zone, now)  # most are written plainly
    except ValueError:
        again = _plainly(written, order)
        if again == written:
            raise
        return parse_when(again, zone, now)


@lru_cache(maxsize=20_000)  # the machines of a file are read on the same days
def plain_moment(text: str, order: DateOrder | None) -> str:
    """Write a date and time so that it reads the same everywhere; what cannot be stays as it is."""
    written = " ".join(text.split())
    if PLAIN.fullmatch(written):
        return written
    try:
        if SERIAL.fullmatch(written):
            return _of_serial(float(written.replace(",", ".")))
        return _plainly(written, order)
    except ValueError:
        return written


def day_of_text(text: str, now: datetime, order: DateOrder | None) -> date:
    """Read a day without a time; a time beside it is left out.

    Raises:
        ValueError: with a sentence for the person who wrote it.

    """
    return moment_of(text, UTC, now, order).at.date()


def _of_serial(serial: float) -> str:
    if not FIRST_SERIAL <= serial <= LAST_SERIAL:
        raise ValueError(f"“{serial:g}” is not a date; write it as 2026-03-02.")
    at = EPOCH + timedelta(seconds=round(serial * 86400))
    return at.date().isoformat() if serial == int(serial) else at.isoformat(" ")


def _plainly(written: str, order: DateOrder | None) -> str:
    """Write a date and time in the one form that is read everywhere, or leave them as they are."""
    rest, day = written, ""
    match = NUMERIC.search(written)
    if iso := YEAR_FIRST.search(written):
        day = f"{iso[1]}-{int(iso[2]):02}-{int(iso[3]):02}"
        rest = f"{written[: iso.start()]} {written[iso.end() :].lstrip('T')}"
    elif match:
        first, second, year = int(match[1]), int(match[3]), _year(match[4])
        by_day = order is DateOrder.DAY_FIRST or match[2] == "."
        if first > 12 >= second:
            by_day = True
        elif second > 12 >= first:
            by_day = False
        elif order is None and match[2] != "." and first != second:
            return written
        month, number = (second, first) if by_day else (first, second)
        day = f"{year:04}-{month:02}-{number:02}"
        rest = f"{written[: match.start()]} {written[match.end() :]}"
    clock, rest = _clock(rest)
    rest = WEEKDAY.sub(" ", rest)
    if not day:
        day = _with_month(rest)
    elif any(character.isalnum() for character in rest.replace(",", " ")):
        return written
    return f"{day} {clock}".strip()


def _with_month(text: str) -> str:
    """Return "2 de marzo de 2026" as "2 mar 2026"."""
    words = [word for word in plain(text).split() if word not in ("de", "del", "the", "of")]
    words = [MONTH_WORDS.get(word, word) for word in words]
    words = [re.sub(r"^(\d{1,2})(st|nd|rd|th|er)$", r"\1", word) for word in words]
    if len(words) == 3 and re.fullmatch(r"\d{2}", words[2]):
        words[2] = str(_year(words[2]))
    return " ".join(words)


CLOCK = re.compile(
    r"(?<![\d:])(\d{1,2})(?:\s?[:.h]\s?(\d{2}))?(?::(\d{2}))?\s*(a\.?m\.?|p\.?m\.?|uhr|h(?![a-z]))?"
    r"(?![\d:])",
    re.IGNORECASE,
)


def _clock(text: str) -> tuple[str, str]:
    """Return the time of day in a text as 17:00:00, "" for none, and what is left without it."""
    for match in CLOCK.finditer(text):
        half = (match[4] or "").lower().replace(".", "")
        if not match[2] and half not in ("am", "pm", "uhr", "h"):
            continue
        hour, minute, second = int(match[1]), int(match[2] or 0), int(match[3] or 0)
        if half in ("am", "pm"):
            if not 1 <= hour <= 12:
                continue
            hour = hour % 12 + 12 * (half == "pm")
        return f"{hour:02}:{minute:02}:{second:02}", text[: match.start()] + text[match.end() :]
    return "", text
