"""The lines of a calendar as HTML.

Drawn here and not by a template: a yard of 500 machines has thousands of cells, and a template
takes ten times as long for each.  For the same reason a cell says nothing twice: its day follows
from its place, its machine stands at the head of its row, and a sentence that many cells share
stands once below them, where each refers to it (WAI-ARIA 1.2, aria-describedby).  What stands in
`b` is read aloud and not seen; of the `i` of a strip the first that has room is seen.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from django import template
from django.urls import reverse
from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from fleet.addresses import reversing
from fleet.marks import shape_svg
from fleet.models import Machine
from scheduling.queries.calendar_grid import CalendarEntry, CalendarLine, CalendarSpan

register = template.Library()

SHORT = {
    "free when done": "done",
    "to be planned": "plan",
    "hard limit": "limit",
    "still out": "out",
    "sat too long": "sat",
    "falls due": "due",
    "not known": "?",
}
"""What stands on a strip that is too narrow for its words; others are short enough."""


@dataclass(frozen=True)
class DrawnRows:
    """A row a machine, and the sentences to which its cells refer."""

    rows: SafeString
    said: SafeString


@register.simple_tag
def calendar_rows(lines: Sequence[CalendarLine]) -> DrawnRows:
    """Draw a row a machine, a cell for all days on which the same stands: a `tr` each."""
    pen = _Pen()
    rows = "\n".join(pen.row(line) for line in lines)
    said = "\n".join(f'<p id="s{number}">{text}</p>' for text, number in pen.said.items())
    return DrawnRows(mark_safe(rows), mark_safe(said))


@dataclass(frozen=True)
class _Pen:
    """Draws rows; said: the sentences drawn so far, each with its number."""

    said: dict[str, int] = field(default_factory=dict)
    machine_at: Callable[[object], str] = field(default_factory=lambda: reversing("machine"))
    book_at: Callable[[object], str] = field(default_factory=lambda: reversing("counter-book"))
    above: str = field(default_factory=lambda: reverse("counter"))

    def near(self, address: str) -> str:
        """Return an address as it is seen from the calendar's own, which stands beside it."""
        return f"../{escape(address.removeprefix(self.above))}"

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
        over = f" colspan={cell.span}" if cell.span > 1 else ""
        return f"<td{over}>{''.join(self.shown(machine, cell))}</td>"

    def shown(self, machine: Machine, cell: CalendarSpan) -> Iterator[str]:
        for entry in cell.before:
            yield self.bar(entry, cell)
        if cell.booking:
            yield self.bar(cell.booking, cell, cell.block)
            if cell.block:
                yield _strip(cell.block)
        elif cell.answered is None:
            yield "<b>free</b>"
        else:
            yield self.asked(machine, cell)

    def asked(self, machine: Machine, cell: CalendarSpan) -> str:
        """Lead to a booking of the cell's first day, or to what stands against it."""
        strips = [one for one in (cell.shop, cell.block, cell.after) if one]
        drawn = "".join(map(_strip, strips))
        tag = escape(machine.tag)
        then = f": why {tag} may not go" if cell.block else f": book {tag}"
        how = then if cell.block or cell.after else f"{', ' if strips else ''}free{then}"
        named = ' class="cal-why"' if cell.block else ""
        if machine.retired_on and not cell.block:
            return f"{drawn}<b>free</b>"
        address = f"{self.near(self.book_at(machine.tag))}?first_day={cell.first}"
        return f'<a{named} href="{address}"{self.told(strips)}>{drawn}<b>{how}</b></a>'

    def told(self, entries: Sequence[CalendarEntry]) -> str:
        """Refer to the sentences of what stands in a cell."""
        if not entries:
            return ""
        said = self.said
        names = [f"s{said.setdefault(escape(one.sentence), len(said))}" for one in entries]
        return (
            f" aria-describedby={names[0]}"
            if names[1:] == []
            else (f' aria-describedby="{" ".join(names)}"')
        )

    def bar(
        self, entry: CalendarEntry, cell: CalendarSpan, block: CalendarEntry | None = None
    ) -> str:
        """Draw a booking; its days are told where the cell does not show them."""
        first, last = entry.days.first, entry.days.last
        real = f' data-first="{first}"' if first != cell.first else ""
        real += f' data-last="{last}"' if last != cell.last else ""
        return (
            f'<a class="bar bar-{entry.look}" href="{self.near(entry.url)}"{real}'
            f"{self.told([block] if block else [])}>"
            f"<b>{escape(entry.sentence)}: </b>{escape(entry.words)}</a>"
        )


def _strip(entry: CalendarEntry) -> str:
    words = escape(entry.words)
    short = SHORT.get(entry.words)
    fitting = f"<i>{words}</i>" + (f'<i aria-hidden="true">{short}</i>' if short else "")
    if entry.look == "block":
        fitting = f"{shape_svg(entry.state)}<span>{fitting}</span>"
    return f'<span class="strip strip-{entry.look}">{fitting}</span>'
