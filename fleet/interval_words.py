"""Intervals in trade words: "every 100 h or 12 months, whichever comes first".  Pure.

Read and said in the site's own units; quantities inside are stored ones (hours, metres, cycles).
"""

import re
from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from fleet.models import Anchor, Interval, MeterKind, Units
from fleet.numerals import Commas, parse_number
from fleet.quantities import UNIT_WORDS, unit_of, unit_size
from fleet.saying import MONTH, counted

CALENDAR = {
    "d": ("days", 1), "day": ("days", 1), "days": ("days", 1),
    "wk": ("days", 7), "week": ("days", 7), "weeks": ("days", 7),
    "mo": ("months", 1), "month": ("months", 1), "months": ("months", 1), "mths": ("months", 1),
    "yr": ("months", 12), "year": ("months", 12), "years": ("months", 12), "yrs": ("months", 12),
}  # fmt: skip
"""Units of the calendar -> the unit kept, and how many of it."""
PERCENT = {"%", "percent", "per cent", "pct"}
BETWEEN = re.compile(
    r"\s*(?:,?\s*whichever(?: comes| is)?(?: first)?|;|\bor\b|\band\b|\+)\s*", re.I
)
PIECE = re.compile(r"(\d[\d.,’' ]*|[.,]\d+)\s*([a-z%][a-z% ]*)?\.?", re.IGNORECASE)
SEASON = re.compile(
    r"(?:by\s+)?(?:(\d{1,2})\.?\s*([a-z]{3,9})|([a-z]{3,9})\.?\s*(\d{1,2}))\.?", re.I
)
MOST_MONTHS, MOST_DAYS = 600, 18_000
"""Fifty years: nothing on a machine is asked for less often."""

ANCHOR_WORDS = {
    Anchor.FROM_SERVICE: "counted from the day and meter of the last service",
    Anchor.FROM_DUE_POINT: "counted from the point that was due, early or late as it was done",
    Anchor.KEEP_UNLESS_EARLY: "counted from the point that was due, but from the service if that"
    " came before its window",
    Anchor.KEEP_WITHIN_WINDOW: "counted from the point that was due if done inside its window,"
    " else from the service",
}
"""How the next one is counted, in plain words."""


@dataclass(frozen=True)
class Terms:
    """A quantity on the meter, on the calendar, in percent: as far as each was written."""

    on_meter: float | None = None
    kind: str = ""
    months: int | None = None
    days: int | None = None
    percent: float | None = None


def parse_terms(text: str, kinds: Collection[str], units: str) -> Terms:
    """Read "100 h or 12 months", "10 %", "30 days".

    kinds: meters that the machine carries; a number without a unit is of the only one.

    Raises:
        ValueError: with a sentence for the person who wrote it.

    """
    found: dict[str, Any] = {}
    written = re.sub(r"^\s*every\s+", "", text, flags=re.IGNORECASE)
    for piece in filter(None, (part.strip() for part in BETWEEN.split(written))):
        for name, value in _piece(piece, kinds, units).items():
            if name in found:
                raise ValueError(
                    f"“{text.strip()}” says two things of one sort; write one of them."
                )
            found[name] = value
    if found.get("months") and found.get("days"):
        raise ValueError("Give months or days on the calendar, not both.")
    return Terms(**found)


def _piece(piece: str, kinds: Collection[str], units: str) -> dict[str, Any]:
    match = PIECE.fullmatch(piece)
    if not match:
        raise ValueError(f"“{piece}” cannot be read; write it as 100 h, 12 months or 10 %.")
    commas = Commas.GROUP if units == Units.US else Commas.UNSURE
    number, word = parse_number(match[1].strip(), commas), (match[2] or "").strip().lower()
    if not number > 0:
        raise ValueError(f"“{piece}” must be more than zero.")
    if word in PERCENT:
        return {"percent": number}
    if word in CALENDAR:
        return _on_calendar(piece, number, word)
    kind, size = _meter_unit(piece, word, kinds, units)
    return {"on_meter": number * size, "kind": kind}


def _on_calendar(piece: str, number: float, word: str) -> dict[str, Any]:
    name, many = CALENDAR[word]
    whole = number * many
    if whole != int(whole):
        raise ValueError(f"“{piece}” is not a whole number of {name}; write it in {name}.")
    if whole > (MOST_MONTHS if name == "months" else MOST_DAYS):
        raise ValueError(f"“{piece}” is more than 50 years; look at it again.")
    return {name: int(whole)}


def _meter_unit(piece: str, word: str, kinds: Collection[str], units: str) -> tuple[str, float]:
    """Return the kind of meter that a unit belongs to, and the unit in the stored one."""
    if not word:
        if len(kinds) == 1:
            kind = next(iter(kinds))
            return kind, unit_size(kind, units)
        raise ValueError(f"“{piece}” has no unit; write it as 100 h or 12 months.")
    for kind, words in UNIT_WORDS.items():
        if word in words and word not in ("m", "min", "mins", "minute", "minutes"):
            if kind not in kinds:
                raise ValueError(
                    f"These machines carry no {kind.label.lower()}; “{piece}” has no use."
                )
            return kind, words[word]
    raise ValueError(f"“{word}” is not a unit we know; write it as 100 h or 12 months.")


def parse_season(text: str) -> tuple[int, int]:
    """Read "15 Nov" or "by November 15"; month and day.

    Raises:
        ValueError: with a sentence for the person who wrote it.

    """
    match = SEASON.fullmatch(text.strip())
    names = [name.lower() for name in MONTH]
    word = (match[2] or match[3])[:3].lower() if match else ""
    if not match or word not in names:
        raise ValueError(f"“{text.strip()}” is not a day of the year; write it as 15 Nov.")
    month, day = names.index(word) + 1, int(match[1] or match[4])
    longest = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)[month - 1]
    if not 1 <= day <= longest:
        raise ValueError(f"“{text.strip()}” is not a day of the calendar; look at it again.")
    return month, day


def say_terms(terms: Terms, units: str) -> str:
    """Say terms as they can be typed again: "100 h or 12 months"."""
    said = []
    if terms.on_meter is not None:
        figure = terms.on_meter / unit_size(terms.kind, units)
        said.append(f"{round(figure, 3):,g} {unit_of(terms.kind, units)}")
    if terms.months:
        years, rest = divmod(terms.months, 12)
        whole = years > 1 and not rest
        said.append(counted(years, "year") if whole else counted(terms.months, "month"))
    if terms.days:
        said.append(counted(terms.days, "day"))
    if terms.percent is not None:
        said.append(f"{terms.percent:g} %")
    return " or ".join(said)


def every_of(row: Interval) -> Terms:
    """Return how often an interval recurs."""
    return Terms(row.every, row.meter_kind, row.every_months, row.every_days)


def first_of(row: Interval) -> Terms:
    """Return when it is first due, where that differs."""
    return Terms(row.first_at, row.meter_kind, row.first_months, row.first_days)


def late_of(row: Interval) -> Terms:
    """Return by how much it may be late."""
    return Terms(row.late or None, row.meter_kind, None, row.late_days, row.late_percent)


def early_of(row: Interval) -> Terms:
    """Return by how much it may be early."""
    return Terms(row.early or None, row.meter_kind, None, row.early_days, row.early_percent)


def say_interval(row: Interval, units: str) -> str:
    """Say the whole of an interval in trade words."""
    every, first = say_terms(every_of(row), units), say_terms(first_of(row), units)
    parts = []
    if every:
        several = row.every is not None and bool(row.every_months or row.every_days)
        parts.append(f"every {every}{', whichever comes first' if several else ''}")
    if row.season_month and row.season_day:
        parts.append(f"by {row.season_day} {MONTH[row.season_month - 1]} each year")
    if row.idle_months:
        parts.append(
            f"before it goes back to work after {counted(row.idle_months, 'month')} of rest"
        )
    if first:
        parts.append(f"first at {first}")
    for word, terms in (("early", early_of(row)), ("late", late_of(row))):
        if said := say_terms(terms, units):
            parts.append(f"may be {said} {word}")
    if row.hard:
        parts.append("a hard limit: past it the machine may not go out")
    return "; ".join(parts)


def meters_in_words(kinds: Collection[str]) -> str:
    """Say which meters a make-up's machines carry."""
    return ", ".join(MeterKind(kind).label.lower() for kind in sorted(kinds))
