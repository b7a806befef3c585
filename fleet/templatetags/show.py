"""Filters that show quantities and dates as people say them; each one line over a function."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from django import template
from django.conf import settings
from django.utils.html import format_html
from django.utils.safestring import SafeString

from fleet import quantities, saying
from fleet.booked_times import PromisedDays, say_booked
from fleet.models import Shop, Yard
from fleet.told_values import ReadAt, say_value
from fleet.tongues.phrase_book import spoken

register = template.Library()


@register.filter
def said_date(day: date | None, today: date) -> SafeString | str:
    """Show "Thu 3 Dec, in 8 days", the exact date at hand: {{ day|said_date:today }}."""
    return _time(day, saying.say_date(day, today)) if day else ""


@register.filter
def short_date(day: date | None, today: date) -> SafeString | str:
    """Show "Thu 3 Dec": {{ day|short_date:today }}."""
    return _time(day, saying.short_date(day, today)) if day else ""


@register.filter
def booked(days: PromisedDays, today: date) -> str:
    """Show days with the times of day where there are any: {{ booking.days|booked:today }}."""
    return say_booked(days, today)


@register.filter
def distance(day: date | None, today: date) -> str:
    """Show "in 8 days": {{ day|distance:today }}."""
    return spoken(saying.distance(day, today)) if day else ""


def _time(day: date, words: str) -> SafeString:
    return format_html(
        '<time class="said-date" datetime="{}" title="{}">{}</time>',
        day.isoformat(),
        spoken(f"{day.day} {day:%B %Y}"),
        spoken(words),
    )


@register.simple_tag
def moment(value: datetime | None, place: Yard | Shop, today: date) -> SafeString | str:
    """Show a moment in a yard's or shop's own time: {% moment reading.read_at yard today %}."""
    if value is None:
        return ""
    words = spoken(saying.say_moment(value, place.zone, today))
    stamp = value.astimezone(place.zone).isoformat(timespec="minutes")
    return format_html(
        '<time class="said-date" datetime="{}" title="{}">{}</time>', stamp, stamp, words
    )


@register.simple_tag
def changed(kind: str, field: str, value: str, place: Yard | Shop, today: date) -> str:
    """Say a value of the change log: {% changed change.kind value.field value.old yard today %}."""
    return spoken(say_value(value, kind, field, ReadAt(place, today)))


@register.filter
def date_at(value: datetime | None, place: Yard | Shop) -> SafeString | str:
    """Show the day of a moment where it was, always with its year: {{ done_at|date_at:yard }}."""
    if value is None:
        return ""
    day = value.astimezone(place.zone).date()
    return _time(day, f"{day.day} {saying.MONTH[day.month - 1]} {day.year}")


@register.simple_tag
def use(value: float | None, kind: str, units: str) -> str:
    """Show a meter quantity in the yard's units: {% use due.remaining due.meter_kind units %}."""
    return "" if value is None else spoken(quantities.show_use(value, kind, units))


@register.filter
def volume(millilitres: float | None, units: str) -> str:
    """Show a volume in the yard's units: {{ fluid.capacity_ml|volume:units }}."""
    return "" if millilitres is None else quantities.show_volume(millilitres, units)


@register.simple_tag
def volume_beside(millilitres: float, need: float, units: str) -> str:
    """Show a volume in the unit in which what is needed is shown."""
    return quantities.show_volume_beside(millilitres, need, units)


@register.filter
def minutes(value: float | None) -> str:
    """Show minutes of work as hours and minutes."""
    return "" if value is None else saying.say_minutes(value)


@register.filter
def money(amount: float | None) -> str:
    """Show money with the site's currency sign."""
    return "" if amount is None else saying.say_money(float(amount), settings.CURRENCY)


@register.filter
def percent(share: float | None, places: int = 0) -> str:
    """Show a share of one as percent; {{ gap|percent:1 }} with one decimal."""
    return "" if share is None else saying.say_percent(share, places)


@register.filter
def first_sentence(words: str) -> str:
    """Show the first of several sentences."""
    return saying.first_sentence(str(words))


@register.filter
def unbroken(words: str) -> str:
    """Keep each number on one line with its unit."""
    return saying.unbroken(words)


@register.filter
def at(row: Sequence[Any], place: int) -> Any:
    """Return one of a row by its place: {{ cells|at:forloop.counter0 }}."""
    return row[place]
