"""The calendar of bookings and blocks by machine, with three queries however many machines."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import groupby, pairwise

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.urls import reverse

from fleet.models import Booking, HandOver, Machine
from scheduling.availability.counter_facts import Days
from scheduling.models import Block
from scheduling.queries.risk_advice import STATE_OF
from scheduling.queries.said_blocks import said_blocks, with_causes

DAY = timedelta(days=1)
WORDS = {
    Block.Kind.RETIRED: "retired",
    Block.Kind.HOLD: "held",
    Block.Kind.LIMIT: "hard limit",
    Block.Kind.OVERDUE: "overdue",
    Block.Kind.IDLE: "sat too long",
    Block.Kind.FALLS_DUE: "falls due",
    Block.Kind.IN_SHOP: "shop",
}
"""The word on a block's strip; its sentence is at hand."""
GRAVITY = list(WORDS)


@dataclass(frozen=True)
class CalendarEntry:
    """One thing on a machine's line: a booking (booked, out, late, back) or a block.

    state: whose mark stands on it; empty for a booking and for a day in the shop.
    """

    days: Days
    look: str
    words: str
    sentence: str
    url: str = ""
    state: str = ""


@dataclass(frozen=True)
class CalendarSpan:
    """Days on end on which the same is shown: one booking, the gravest block, a day in the shop."""

    first: date
    span: int
    booking: CalendarEntry | None = None
    block: CalendarEntry | None = None
    shop: CalendarEntry | None = None

    @property
    def shown(self) -> tuple[CalendarEntry | None, CalendarEntry | None, CalendarEntry | None]:
        """What stands in it; neighbours that show the same are one cell."""
        return self.booking, self.block, self.shop

    @property
    def free(self) -> bool:
        """Whether nothing stands in it."""
        return self.shown == (None, None, None)


@dataclass(frozen=True)
class CalendarLine:
    """One machine's line of the calendar."""

    machine: Machine
    entries: Sequence[CalendarEntry]
    cells: Sequence[CalendarSpan]


def calendar_lines(machines: Iterable[Machine], days: Days, today: date) -> list[CalendarLine]:
    """Return a line for each machine."""
    listed = list(machines)
    ids = [machine.pk for machine in listed]
    entries: dict[int, list[CalendarEntry]] = defaultdict(list)
    for booking in _bookings(ids, days, today):
        entries[booking.machine_id].append(_booking_entry(booking, today))
    blocks = list(_blocks(ids, days))
    said = said_blocks(blocks, today)
    for block in blocks:
        entries[block.machine_id].append(_block_entry(block, said[block.pk], days))
    lines = []
    for machine in listed:
        own = [one for one in entries[machine.pk] if days.meet(one.days.first, one.days.last)]
        own.sort(key=lambda one: (one.days.first, one.look))
        lines.append(CalendarLine(machine, own, cells(own, days)))
    return lines


def _bookings(ids: list[int], days: Days, today: date) -> QuerySet[Booking]:
    handed = HandOver.objects.filter(booking=OuterRef("pk"))
    out = Exists(handed.filter(direction=HandOver.Direction.OUT))
    back = Exists(handed.filter(direction=HandOver.Direction.BACK))
    rows = Booking.objects.filter(
        machine__in=ids, cancelled_at=None, first_day__lte=days.last
    ).annotate(is_out=out, is_back=back)
    return rows.filter(Q(last_day__gte=days.first) | Q(is_out=True, is_back=False))


def _blocks(ids: list[int], days: Days) -> QuerySet[Block]:
    lasting = Q(last_day=None) | Q(last_day__gte=days.first)
    return with_causes(Block.objects.filter(lasting, machine__in=ids, first_day__lte=days.last))


def _booking_entry(booking: Booking, today: date) -> CalendarEntry:
    first, last = booking.first_day, booking.last_day
    look = "booked"
    if booking.is_back:  # type: ignore[attr-defined]  # annotated
        look = "back"
    elif booking.is_out:  # type: ignore[attr-defined]  # annotated
        look = "late" if last < today else "out"
    days = Days(first, max(last, today) if look == "late" else last)
    said = {"booked": "booked", "back": "came back", "out": "out", "late": "still out"}[look]
    url = reverse("booking", args=[booking.pk])
    return CalendarEntry(days, look, booking.customer, said, url)


def _block_entry(block: Block, sentence: str, days: Days) -> CalendarEntry:
    kind = Block.Kind(block.kind)
    look = "shop" if kind == Block.Kind.IN_SHOP else "block"
    state = STATE_OF[kind] if look == "block" else ""
    last = block.last_day or days.last
    span = Days(block.first_day, max(last, block.first_day))
    return CalendarEntry(span, look, WORDS[kind], sentence, state=state)


def cells(entries: Sequence[CalendarEntry], days: Days) -> list[CalendarSpan]:
    """Cut the days where what is shown changes; together the cells cover them all."""
    cuts = {days.first, days.last + DAY}
    for one in entries:
        cuts |= {one.days.first, one.days.last + DAY}
    edges = sorted(cut for cut in cuts if days.first <= cut <= days.last + DAY)
    cut = [_cell(entries, first, (after - first).days) for first, after in pairwise(edges)]
    return [_joined(list(alike)) for _, alike in groupby(cut, key=lambda one: one.shown)]


def _joined(alike: list[CalendarSpan]) -> CalendarSpan:
    return replace(alike[0], span=sum(one.span for one in alike))


def _cell(entries: Sequence[CalendarEntry], first: date, span: int) -> CalendarSpan:
    here = [one for one in entries if one.days.meet(first, first)]
    bookings = [one for one in here if one.url]
    blocks = sorted((one for one in here if one.look == "block"), key=_rank)
    shop = [one for one in here if one.look == "shop"]
    return CalendarSpan(
        first,
        span,
        bookings[-1] if bookings else None,
        blocks[0] if blocks else None,
        shop[0] if shop else None,
    )


def _rank(entry: CalendarEntry) -> int:
    return [WORDS[kind] for kind in GRAVITY].index(entry.words)
