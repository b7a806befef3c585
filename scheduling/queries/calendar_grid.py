"""The calendar of bookings and answers by machine, with a fixed number of queries.

A booking is one bar, whatever stands across it.  Between bookings each day says what the counter
says of it alone: the same function answers both (`scheduling.availability`).
"""

import gc
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from functools import partial
from itertools import groupby
from typing import Any

from fleet.addresses import reversing
from fleet.models import Machine
from scheduling.availability.answer import Availability, bare_answer
from scheduling.availability.counter_facts import CounterFacts, Days, NearPromises, left_of
from scheduling.availability.day_answers import DayAnswer, changes, day_answers
from scheduling.availability.objections import Cause, shop_days
from scheduling.availability.three_answers import Answer
from scheduling.due.block_words import block_words
from scheduling.queries.calendar_bookings import calendar_bookings
from scheduling.queries.may_go_out import standings_with

DAY = timedelta(days=1)
WORDS = {
    Cause.RETIRED: "retired",
    Cause.HELD: "held",
    Cause.LIMIT: "hard limit",
    Cause.OUT: "still out",
    Cause.PROMISED: "booked",
    Cause.OVERDUE: "overdue",
    Cause.IDLE: "sat too long",
    Cause.DUE: "falls due",
    Cause.SHOP: "shop",
    Cause.UNKNOWN: "not known",
}
"""The word on a strip, by the gravest cause; its sentence is at hand."""
WHEN_DONE, TO_PLAN = "free when done", "to be planned"


@dataclass(frozen=True)
class CalendarEntry:
    """One thing on a machine's line: a booking (booked, out, late, back), a block, a shop day.

    look: of what is no booking: block, after (it is free once its work is done) or shop.
    state: whose mark stands on it; empty for a booking, a shop day and work to be done.
    """

    days: Days
    look: str
    words: str
    sentence: str
    url: str = ""
    state: str = ""


@dataclass(frozen=True)
class CalendarSpan:
    """Days on end on which the same is shown: one booking, or one answer of the counter.

    block: what stands against it, or against the booking; after: the work after which it is free.
    answered: what the counter answers for each of its days; None: past, or a booking, of whose
    last day `asked` asks it, since no page shows it.
    before: bookings that end on its first day, and began on no earlier one.
    """

    first: date
    span: int
    booking: CalendarEntry | None = None
    block: CalendarEntry | None = None
    shop: CalendarEntry | None = None
    after: CalendarEntry | None = None
    answered: Answer | None = None
    asked: Callable[[], Answer | None] = field(default=lambda: None, compare=False)
    before: Sequence[CalendarEntry] = ()

    @property
    def kind(self) -> Answer | None:
        """What the counter answers for each of its days, of a booking for its last; None: past."""
        return self.answered or self.asked()

    @property
    def last(self) -> date:
        """The last of its days."""
        return self.first + (self.span - 1) * DAY

    @property
    def entries(self) -> list[CalendarEntry]:
        """All that stands in it."""
        stands = (*self.before, self.booking, self.block, self.after, self.shop)
        return [one for one in stands if one]

    @property
    def free(self) -> bool:
        """Whether nothing stands in it."""
        return self.booking is None and self.block is None and self.after is None


@dataclass(frozen=True)
class CalendarLine:
    """One machine's line of the calendar."""

    machine: Machine
    cells: Sequence[CalendarSpan]

    @property
    def entries(self) -> list[CalendarEntry]:
        """All that stands on it, in order."""
        return [one for cell in self.cells for one in cell.entries]


def calendar_lines(
    machines: Iterable[Machine], days: Days, today: date, now: datetime | None = None
) -> list[CalendarLine]:
    """Return a line for each machine; now: when it is asked, since today begins then."""
    listed = list(machines)
    addressed = reversing("booking")
    with _uncollected():
        read = calendar_bookings([machine.pk for machine in listed], days, today, now)
        return [
            calendar_line(known, read.shown.get(known.machine.pk, ()), days, today, now, addressed)
            for known in standings_with(listed, read.promised, today)
        ]


@contextmanager
def _uncollected() -> Iterator[None]:
    """Leave out the collector of cycles while values are made by the hundred thousand.

    None of them is in a cycle, and it would go through all of them again and again: a fifth of the
    time that a calendar of 500 machines over half a year takes.
    """
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def calendar_line(
    known: CounterFacts,
    bookings: Sequence[Any],
    days: Days,
    today: date,
    now: datetime | None = None,
    addressed: Callable[[object], str] | None = None,
) -> CalendarLine:
    """Return the line of one machine; no query.  bookings: with gone_at and back_at beside each.

    addressed: returns a booking's address by its number.
    """
    near = NearPromises.of(known)
    asked = _AskedWhen(today, now, addressed or reversing("booking"))
    bars = list(_bars(near, bookings, days, asked))
    cuts = changes(known, today)
    cells, day = [], days.first

    def gap(free: Days) -> list[CalendarSpan]:
        if free.last < free.first:
            return []
        answers = day_answers(near.on(free), free, today, now, cuts)
        return _gap(known, answers, free, today)

    for bar in bars:
        cells += gap(Days(day, bar.first - DAY))
        cells.append(bar)
        day = bar.last + DAY
    cells += gap(Days(day, days.last))
    return CalendarLine(known.machine, cells)


@dataclass(frozen=True)
class _AskedWhen:
    """When the calendar is asked, and where its bookings are found.

    addressed: returns a booking's address by its number.
    """

    today: date
    now: datetime | None
    addressed: Callable[[object], str]


def _bars(
    near: NearPromises, bookings: Sequence[Any], days: Days, asked: _AskedWhen
) -> Iterator[CalendarSpan]:
    """Yield one cell a booking, in order; a day that two share is the later one's.

    One that has no day left then stands in the later one's cell, before it.
    """
    known, today = near.known, asked.today
    entries = sorted(
        ((_booking_entry(row, known, today, asked.addressed(row.pk)), row) for row in bookings),
        key=lambda pair: (pair[0].days.first, pair[0].days.last),
    )
    hidden: list[CalendarEntry] = []
    for place, (entry, row) in enumerate(entries):
        last = min(entry.days.last, days.last)
        if place + 1 < len(entries):
            last = min(last, entries[place + 1][0].days.first - DAY)
        first = max(entry.days.first, days.first)
        if first <= last:
            yield CalendarSpan(
                first, (last - first).days + 1, entry, _across(near, row, entry, today),
                asked=partial(_kind_on, known, last, today, asked.now), before=tuple(hidden),
            )  # fmt: skip
            hidden = []
        elif days.first <= entry.days.last and first <= days.last:
            hidden.append(entry)


def _booking_entry(booking: Any, known: CounterFacts, today: date, url: str) -> CalendarEntry:
    """Return a booking with its real days: out early, back early, or out until today at least."""
    gone, back = (_day(known, at) for at in (booking.gone_at, booking.back_at))
    first, last = booking.first_day, booking.last_day
    look, said = "booked", "booked"
    if back:
        look, said, last = "back", "came back", max(min(first, gone or first), back)
    elif gone and last < today:
        look, said, last = "late", "still out", today
    elif gone:
        look, said = "out", "out"
    first = min(first, gone) if gone else first
    if booking.from_time or booking.to_time:
        said = f"{said} {_clock(booking)}"
    return CalendarEntry(Days(first, max(first, last)), look, booking.customer, said, url)


def _clock(booking: Any) -> str:
    """Say between which times of day a machine is booked."""
    since, until = (at and f"{at:%H:%M}" for at in (booking.from_time, booking.to_time))
    if since and until and booking.first_day == booking.last_day:
        return f"{since} to {until}"
    return ", ".join(filter(None, [since and f"from {since}", until and f"back by {until}"]))


def _day(known: CounterFacts, at: datetime | None) -> date | None:
    return at.astimezone(known.machine.yard.zone).date() if at else None


def _across(
    near: NearPromises, booking: Any, entry: CalendarEntry, today: date
) -> CalendarEntry | None:
    """Return what the counter says against a booking that stands: what its own page says."""
    first = today if entry.look == "out" else max(booking.first_day, today)
    if entry.look not in ("booked", "out") or first > booking.last_day:
        return None
    left = left_of(booking, first)
    said = bare_answer(near.on(left, booking), left, today)
    return _block(said, entry.days) if said.kind == Answer.MAY_NOT else None


def _gap(
    known: CounterFacts, answered: Sequence[DayAnswer], days: Days, today: date
) -> list[CalendarSpan]:
    """Return cells for days without a booking: of the past empty, then as the counter says."""
    found = []
    if days.first < today:
        last = min(days.last, today - DAY)
        found.append(CalendarSpan(days.first, (last - days.first).days + 1))
    found += [_answered(known, one.answer, one.days) for one in answered]
    return [_joined(list(cells)) for _, cells in groupby(found, key=_shows)]


def _shows(cell: CalendarSpan) -> tuple[object, ...]:
    """Return what tells a cell from its neighbour, but for its days."""
    entries = (cell.block, cell.shop, cell.after)
    return cell.answered, *[one and (one.words, one.sentence, one.state) for one in entries]


def _joined(alike: list[CalendarSpan]) -> CalendarSpan:
    """Return neighbours that show the same as one; what they show lasts as long."""
    if len(alike) == 1:
        return alike[0]
    whole = Days(alike[0].first, alike[-1].last)
    shown = {
        name: replace(entry, days=whole)
        for name in ("block", "shop", "after")
        if (entry := getattr(alike[0], name))
    }
    return replace(alike[0], span=sum(one.span for one in alike), **shown)


def _answered(known: CounterFacts, said: Availability, days: Days) -> CalendarSpan:
    kind = said.kind
    after = block = shop = None
    if kind == Answer.AFTER_WORK:
        words = WHEN_DONE if said.ready_from else TO_PLAN
        sentence = " ".join(f"{work}." for work in said.works_told)
        after = CalendarEntry(days, "after", words, sentence)
    elif kind == Answer.MAY_NOT:
        block = _block(said, days)
    if visits := shop_days(known.blocks, days):
        shop = CalendarEntry(days, "shop", "shop", block_words(visits[0], said.today, {}))
    return CalendarSpan(
        days.first, (days.last - days.first).days + 1, None, block, shop, after, answered=kind
    )


def _block(said: Availability, days: Days) -> CalendarEntry:
    sentence = " ".join(f"{one}." for one in (*said.told, *said.untold))
    cause = said.against[0].cause
    return CalendarEntry(days, "block", WORDS[cause], sentence, state=said.state)


def _kind_on(known: CounterFacts, day: date, today: date, now: datetime | None) -> Answer | None:
    return None if day < today else bare_answer(known, Days(day, day, now=now), today).kind
