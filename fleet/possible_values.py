"""Values that cannot be, and values that want a second look: one place for every door.

Pure: pages, sheets and files ask it alike.  What cannot be is refused; what is odd is asked about
once, and taken when the person says that it is really so.  The thresholds are our own judgement
unless a source stands beside them.
"""

import math
from dataclasses import dataclass
from datetime import date

SLIPPED = 10.0
"""Times a bound from which a measured value is asked about: a slipped decimal point is ten times
(our judgement)."""

NEVER_BELOW_ZERO = frozenset(
    {
        *("mm", "cm", "m", "km", "in", "inch", "ft", "mi", "l", "ml", "qt", "pt", "gal", "fl oz"),
        *("kg", "g", "lb", "h", "hours", "min", "s", "a", "amp", "ohm", "%", "pcs"),
    }
)
"""Units of lengths, volumes, weights, times and shares, in lower case: what is left of a lining is
never less than none (by the meaning of the quantity; a limit below zero says that it may be)."""

OVERFULL = 1.5
"""Times what a make-up takes from which a volume is asked about: some is spilt or flushed
(our judgement)."""

TEN_TIMES_FULL = 10.0
"""Times what a make-up takes from which a slipped decimal point, or another unit, is likelier than
the volume; it may have been flushed all the same, and is asked about (our judgement)."""

DAY_MINUTES = 1440
"""Minutes of one day: nobody works more in one."""

OLDEST_YEAR = 1900
"""Model year before which no machine of a yard is (our judgement)."""

YEARS_AHEAD = 1
"""A model year may run ahead of the calendar's by so many (common practice)."""


@dataclass(frozen=True)
class Oddity:
    """What is odd about a value, as a sentence; impossible: it is refused, else it is asked about.

    short: how the person confirms it: "Brake lining 380 mm".
    """

    sentence: str
    impossible: bool = False
    short: str = ""


def odd_measurement(
    value: float, *, name: str, unit: str = "", low: float | None = None, high: float | None = None
) -> Oddity | None:
    """Judge a measured value by its limit's bounds; None where nothing is odd.

    value, low, high: in the limit's unit.
    """
    said = f"{name} {value:g} {unit}".strip()
    bounds = [bound for bound in (low, high) if bound is not None]
    if not math.isfinite(value):
        return Oddity(f"{name} has to be a number.", impossible=True)
    if value < 0 and all(bound >= 0 for bound in bounds):
        if unit.lower().strip(". ") in NEVER_BELOW_ZERO:
            return Oddity(f"{said} cannot be: there is no less than none.", impossible=True)
        return Oddity(f"{said} is below zero, and the limit is not. Is it really so?", short=said)
    if value > 0 and bounds and all(bound < 0 for bound in bounds):
        return Oddity(f"{said} is above zero, and the limit is below. Is it really so?", short=said)
    widest = max((abs(bound) for bound in bounds), default=0.0)
    if widest and abs(value) >= SLIPPED * widest:
        return Oddity(
            f"{said} is {abs(value) / widest:.0f} times the limit of {widest:g}. Is it really so,"
            " or has the decimal point slipped?",
            short=said,
        )
    return None


def beyond_possible(
    value: float, *, name: str, least: float | None = None, most: float | None = None
) -> Oddity | None:
    """Refuse a value that lies outside what can be at all; least and most: in its unit."""
    if least is not None and value < least:
        return Oddity(f"{name} {value:g} cannot be: it is never less than {least:g}.", True)
    if most is not None and value > most:
        return Oddity(f"{name} {value:g} cannot be: it is never more than {most:g}.", True)
    return None


def odd_volume(used: float, takes: float, *, name: str, unit: str) -> Oddity | None:
    """Judge the volume of a fluid that was filled in by what the make-up takes; both in `unit`."""
    said = f"{used:.4g} {unit} of {name}"
    if not math.isfinite(used) or used < 0:
        return Oddity(f"{said} cannot be; write how much was filled in.", impossible=True)
    if takes <= 0 or used <= OVERFULL * takes:
        return None
    holds = f"{takes:.4g} {unit} is what this work takes by the make-up"
    if used >= TEN_TIMES_FULL * takes:
        return Oddity(
            f"{said} is unlikely: {holds}. Is it really so, or has the decimal point slipped?",
            short=said,
        )
    return Oddity(f"{said} is much: {holds}. Is it really so?", short=said)


def odd_minutes(minutes: float) -> Oddity | None:
    """Judge the minutes that one person worked on one day."""
    if not math.isfinite(minutes) or minutes < 0:
        return Oddity("Minutes of work are never below zero.", impossible=True)
    if minutes > DAY_MINUTES:
        return Oddity(
            f"A day has {DAY_MINUTES:,} minutes; write what was worked on that day.",
            impossible=True,
        )
    return None


def odd_year(
    year: int, *, today: date, first: int | None = None, last: int | None = None
) -> Oddity | None:
    """Judge a model year by the calendar, and by those of the make-up, first and last."""
    if not OLDEST_YEAR <= year <= today.year + YEARS_AHEAD:
        return Oddity(
            f"{year} cannot be a model year; write one from {OLDEST_YEAR} to"
            f" {today.year + YEARS_AHEAD}.",
            impossible=True,
        )
    if (first and year < first) or (last and year > last):
        span = f"{first or 'the first'} to {last or 'today'}"
        return Oddity(
            f"The make-up is of the model years {span}, and this says {year}. Is it really so?",
            short=f"model year {year}",
        )
    return None


def odd_rate(amount: float) -> Oddity | None:
    """Judge what a day of hire costs, in money."""
    if not math.isfinite(amount) or amount < 0:
        return Oddity("A day rate is never below zero.", impossible=True)
    return None


def odd_capacity(volume: float) -> Oddity | None:
    """Judge what a make-up holds of a fluid, in any unit."""
    if not math.isfinite(volume) or volume <= 0:
        return Oddity("A capacity is more than zero; leave the fluid out if there is none of it.",
                      impossible=True)  # fmt: skip
    return None
