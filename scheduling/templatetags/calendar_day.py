"""One day of a calendar as a list for a phone: drawn like the rows of the grid beside it."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date

from django import template
from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from fleet.addresses import reversing
from fleet.marks import mark_html
from fleet.models import Machine
from fleet.templatetags.show import short_date
from scheduling.availability.counter_facts import Days
from scheduling.queries.calendar_grid import CalendarEntry, CalendarLine, CalendarSpan

register = template.Library()


@register.simple_tag
def calendar_day(lines: Sequence[CalendarLine], days: Days, today: date) -> SafeString:
    """Show what stands on the first of some days, a machine a line: an `li` each."""
    pen = _Pen(days, today)
    return mark_safe("\n".join(f"<li>{''.join(pen.line(line))}</li>" for line in lines))


@dataclass(frozen=True)
class _Pen:
    """Draws lines; days: those that the page shows."""

    days: Days
    today: date
    machine_at: Callable[[object], str] = field(default_factory=lambda: reversing("machine"))
    book_at: Callable[[object], str] = field(default_factory=lambda: reversing("counter-book"))

    def line(self, line: CalendarLine) -> Iterator[str]:
        machine, cell = line.machine, line.cells[0]
        tag, kind = escape(machine.tag), escape(machine.makeup.machine_class)
        yield (
            f'<span class="row"><a class="touch tag" href="{escape(self.machine_at(machine.tag))}">'
            f'{tag}</a> <span class="soft small">{kind}</span></span>'
        )
        for entry in cell.before:
            yield _bar(entry, escape(entry.words))
        if cell.booking:
            until = short_date(cell.booking.days.last, self.today)
            yield _bar(cell.booking, f"{escape(cell.booking.words)}, until {until}")
        if cell.shop:
            yield _strip("shop", "in the shop", cell.shop.sentence)
        if cell.block:
            mark = mark_html(cell.block.state, cell.block.words)
            yield f'<span>{mark} <span class="small">{escape(cell.block.sentence)}</span></span>'
        if cell.after:
            yield _strip("after", cell.after.words, cell.after.sentence)
        if cell.free or cell.after:
            yield self.free(machine, cell)

    def free(self, machine: Machine, cell: CalendarSpan) -> str:
        """Lead to a booking of the day, unless it is past."""
        if machine.retired_on or cell.first < self.today:
            return '<span class="soft">Nothing on it.</span>'
        until = f"until {short_date(cell.last, self.today)}"
        until = "all the time" if cell.last == self.days.last else until
        how = "Book it, free when done," if cell.after else "Free"
        address = f"{escape(self.book_at(machine.tag))}?first_day={cell.first}"
        return (
            f'<a class="touch" href="{address}&amp;last_day={cell.first}"><span>{how} {until}'
            f'<span class="out-of-sight">: book {escape(machine.tag)}</span></span></a>'
        )


def _bar(entry: CalendarEntry, words: str) -> str:
    return (
        f'<a class="touch" href="{entry.url}"><span class="bar bar-{entry.look}">'
        f"{escape(entry.sentence)}</span><span>&nbsp;{words}</span></a>"
    )


def _strip(look: str, words: str, sentence: str) -> str:
    return (
        f'<span><span class="strip strip-{look}">{escape(words)}</span>'
        f' <span class="small">{escape(sentence)}</span></span>'
    )
