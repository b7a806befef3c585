"""The lines of a calendar as HTML.

Drawn here and not by a template: a yard of 500 machines has thousands of cells, and a template
takes ten times as long for each.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date

from django import template
from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from fleet.addresses import reversing
from fleet.marks import mark_html
from fleet.models import Machine
from scheduling.queries.calendar_grid import CalendarEntry, CalendarLine, CalendarSpan

register = template.Library()

MOVABLE = ("booked", "out")
"""Looks of bookings whose last day can still be moved."""


@register.simple_tag
def calendar_rows(lines: Sequence[CalendarLine], today: date) -> SafeString:
    """Show a row a machine, a cell for all days on which the same stands: a `tr` each."""
    pen = _Pen(today)
    return mark_safe("\n".join(pen.row(line) for line in lines))


@dataclass(frozen=True)
class _Pen:
    """Draws rows; today: before it nothing is booked."""

    today: date
    machine_at: Callable[[object], str] = field(default_factory=lambda: reversing("machine"))
    book_at: Callable[[object], str] = field(default_factory=lambda: reversing("counter-book"))

    def row(self, line: CalendarLine) -> str:
        machine = line.machine
        cells = "".join(self.cell(machine, cell) for cell in line.cells)
        return (
            f'<tr><th scope="row" class="cal-machine">'
            f'<a class="touch" href="{escape(self.machine_at(machine.tag))}">{escape(machine.tag)}'
            f'</a> <span class="soft small">{escape(machine.makeup.machine_class)}</span></th>'
            f"{cells}</tr>"
        )

    def cell(self, machine: Machine, cell: CalendarSpan) -> str:
        looks = ["cal-free"] if cell.free or cell.after else []
        if cell.span == 1:
            looks.append("cal-one")
        named = f' class="{" ".join(looks)}"' if looks else ""
        return f'<td colspan="{cell.span}"{named}>{"".join(self.shown(machine, cell))}</td>'

    def shown(self, machine: Machine, cell: CalendarSpan) -> Iterator[str]:
        for entry in cell.before:
            yield _bar(entry, 1)
        if cell.booking:
            yield _bar(cell.booking, cell.span)
        if cell.shop:
            yield _strip(cell.shop)
        if cell.block:
            mark = mark_html(cell.block.state, cell.block.words, "small")
            said = escape(cell.block.sentence)
            yield f'<span class="strip strip-block" title="{said}">{mark}</span>'
        if cell.after:
            yield _strip(cell.after)
        if cell.free or cell.after:
            yield self.free(machine, cell)

    def free(self, machine: Machine, cell: CalendarSpan) -> str:
        """Lead to a booking of its first day, unless it is past."""
        how = "free" if cell.free else "free when done"
        if machine.retired_on or cell.first < self.today:
            return '<span class="out-of-sight">free</span>' if cell.free else ""
        tag, first = escape(machine.tag), cell.first
        address = f"{escape(self.book_at(machine.tag))}?first_day={first}&amp;last_day={first}"
        return (
            f'<a class="cal-book" href="{address}" data-free="{tag}"'
            f' data-first="{first}" data-days="{cell.span}">'
            f'<span class="out-of-sight">{how}: book {tag}</span></a>'
        )


def _strip(entry: CalendarEntry) -> str:
    said, words = escape(entry.sentence), escape(entry.words)
    return f'<span class="strip strip-{entry.look}" title="{said}">{words}</span>'


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
