"""Values of the change log as the yard writes them: money, days, times, units.

The log keeps them in one form whoever reads (days and moments by ISO 8601, stored units), for
programs and for searches; a page says them.  What people typed is left as they typed it.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from functools import cache

from django.apps import apps
from django.conf import settings
from django.db import models

from fleet.models import MeterKind, Shop, Yard
from fleet.quantities import show_step, show_volume
from fleet.saying import say_minutes, say_moment, say_money, short_date

MONEY = frozenset({
    "cost", "day rate", "overdue cost per day", "overtime cost per hour", "trip cost", "amount",
    "price of an hour beyond", "price of a whole tank or charge", "price of a day late",
})  # fmt: skip
"""Names of fields that hold money, whatever they are fields of."""
VALUES_OF_MONEY = frozenset({"booking", "class line", "service"})
"""Kinds of thing whose value is money; that of a limit or a figure is a measure."""
MINUTES = frozenset({
    "minutes", "extra minutes", "turn round minutes", "second minutes",
    "minutes of a second person", "minutes left",
})  # fmt: skip
HOURS = frozenset({
    "use a day, in hours", "hours a day", "hours of use a day in the price", "travel hours",
    "hours of overtime a day", "overtime limit hours",
})  # fmt: skip
VOLUMES = frozenset({"capacity, mL", "a container holds"})
STORED = {"h": MeterKind.HOURS, "m": MeterKind.DISTANCE, "cycles": MeterKind.CYCLES}
"""Unit in which a quantity of a meter is kept -> kind of meter."""
ON_METER = re.compile(r"(\d[\d.]*) (h|m|cycles)")
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
DAY = re.compile(r"\d{4}-\d\d-\d\d")
MOMENT = re.compile(r"\d{4}-\d\d-\d\d \d\d:\d\d(?:[+-]\d\d:\d\d)?")
CLOCK = re.compile(r"\d\d:\d\d:\d\d")


@dataclass(frozen=True)
class ReadAt:
    """Where and when a log is read: whose zone and units it is told in."""

    place: Yard | Shop
    today: date


def say_value(value: str, kind: str, field: str, read: ReadAt) -> str:
    """Return a value of the log in words; kind: of what it is a value, as the log names it."""
    if not value or _is_text(kind, field):
        return value
    return ", ".join(_said(part, kind, field, read) for part in value.split(", "))


def _said(part: str, kind: str, field: str, read: ReadAt) -> str:
    number = _number_words(kind, field, read)
    try:
        if number and NUMBER.fullmatch(part):
            return number(float(part))
        if match := ON_METER.fullmatch(part):
            return show_step(float(match[1]), STORED[match[2]], read.place.units)
        if DAY.fullmatch(part):
            return short_date(date.fromisoformat(part), read.today)
        if MOMENT.fullmatch(part):
            return _moment(datetime.fromisoformat(part), read)
        if CLOCK.fullmatch(part):
            return f"{time.fromisoformat(part):%H:%M}"
    except ValueError:  # reads like one and is none: "2026-02-30"
        pass
    return part


def _number_words(kind: str, field: str, read: ReadAt) -> Callable[[float], str] | None:
    """Return how a number of a field is said; None: as it is."""
    if field in MONEY or (field == "value" and kind in VALUES_OF_MONEY):
        return lambda amount: say_money(amount, settings.CURRENCY)
    if field in MINUTES:
        return say_minutes
    if field in HOURS:
        return lambda hours: f"{hours:g} h"
    if field in VOLUMES:
        return lambda ml: show_volume(ml, read.place.units)
    return None


def _moment(at: datetime, read: ReadAt) -> str:
    """Say a moment; one without a zone was kept in the yard's own time."""
    return say_moment(at if at.tzinfo else at.replace(tzinfo=read.place.zone), read.place.zone,
                      read.today)  # fmt: skip


def _is_text(kind: str, field: str) -> bool:
    """Whether people type a field themselves, or it names a row: a tag may look like a day."""
    found = _fields().get((kind, field))
    return isinstance(found, models.CharField | models.TextField | models.ForeignKey)


@cache
def _fields() -> Mapping[tuple[str, str], object]:
    """Return the fields of our facts by kind of thing and name, as the log has them."""
    return {
        (str(model._meta.verbose_name), str(field.verbose_name)): field
        for model in apps.get_app_config("fleet").get_models()
        for field in model._meta.fields
    }
