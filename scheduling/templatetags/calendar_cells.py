"""The cells of a calendar's line as HTML.

Drawn here and not by a template: a yard of 500 machines has thousands of cells, and a template
takes ten times as long for each.
"""

from collections.abc import Iterator
from datetime import date

from django import template
from django.urls import reverse
from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from fleet.marks import mark_html
from scheduling.queries.calendar_grid import CalendarEntry, CalendarLine, CalendarSpan

register = template.Library()

MOVABLE = ("booked", "out")
"""Looks of bookings whose last day can still be moved."""


@register.simple_tag
def calendar_cells(line: CalendarLine, today: date) -> SafeString:
    """Show the cells of one machine, a cell for all days on which the same stands: a `td` each."""
    return mark_safe("".join(_cell(line, cell, today) for cell in line.cells))


def _cell(line: CalendarLine, cell: CalendarSpan, today: date) -> str:
    looks = ["cal-free"] if cell.free or cell.after else []
    if cell.span == 1:
        looks.append("cal-one")
    named = f' class="{" ".join(looks)}"' if looks else ""
    return f'<td colspan="{cell.span}"{named}>{"".join(_shown(line, cell, today))}</td>'


def _shown(line: CalendarLine, cell: CalendarSpan, today: date) -> Iterator[str]:
    for entry in cell.before:
        yield _bar(entry, 1)
    if cell.booking:
        yield _bar(cell.booking, cell.span)
    if cell.shop:
        said, words = escape(cell.shop.sentence), escape(cell.shop.words)
        yield f'<span class="strip strip-shop" title="{said}">{words}</span>'
    if cell.block:
        mark = mark_html(cell.block.state, cell.block.words, "small")
        yield f'<span class="strip strip-block" title="{escape(cell.block.sentence)}">{mark}</span>'
    if cell.after:
        said, words = escape(cell.after.sentence), escape(cell.after.words)
        yield f'<span class="strip strip-after" title="{said}">{words}</span>'
    if cell.free or cell.after:
        yield _free(line, cell, today)


def _bar(entry: CalendarEntry, span: int) -> str:
    words, said = escape(entry.words), escape(entry.sentence)
    movable = ""
    if entry.look in MOVABLE:
        movable = (
            f' data-booking data-first="{entry.days.first}" data-last="{entry.days.last}"'
            f' data-days="{span}"'
        )
    return (
        f'<a class="bar bar-{entry.look}" href="{entry.url}" title="{words}, {said}"{movable}>'
        f'<span class="out-of-sight">{said}: </span>{words}</a>'
    )


def _free(line: CalendarLine, cell: CalendarSpan, today: date) -> str:
    """Lead to a booking of its first day, unless it is past."""
    machine, how = line.machine, "free" if cell.free else "free when done"
    if machine.retired_on or cell.first < today:
        return '<span class="out-of-sight">free</span>' if cell.free else ""
    tag = escape(machine.tag)
    return (
        f'<a class="cal-book" href="{book_address(machine.tag, cell.first)}" data-free="{tag}"'
        f' data-first="{cell.first}" data-days="{cell.span}">'
        f'<span class="out-of-sight">{how}: book {tag}</span></a>'
    )


def book_address(tag: str, day: date) -> str:
    """Return the address at which a machine is booked from a day on, escaped for HTML."""
    return f"{reverse('counter-book', args=[tag])}?first_day={day}&amp;last_day={day}"
