"""The answer for each single day, without asking for each: it changes on few days only.

A calendar of 500 machines over half a year has 91,000 days.  Each machine's days are cut where what
is known of it begins or ends; between two cuts the answer is the same (`test_day_answers` asks day
by day and compares).
"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from itertools import pairwise

from scheduling.availability.answer import Availability, bare_answer
from scheduling.availability.counter_facts import CounterFacts, Days, StandingBooking
from scheduling.availability.objections import DAY, MOMENT
from scheduling.availability.time_to_work import days_to_plan
from scheduling.models import DuePoint


@dataclass(frozen=True)
class DayAnswer:
    """Days on end, each of which alone is answered like the first."""

    days: Days
    answer: Availability


def day_answers(
    standing: CounterFacts,
    days: Days,
    today: date,
    now: datetime | None = None,
    known: Collection[date] | None = None,
) -> list[DayAnswer]:
    """Answer each day from today on, first day first; days that are past are not asked.

    now: when it is asked, since today begins then.  known: the machine's `changes`, for who asks
    about several stretches of days.
    """
    first = max(days.first, today)
    if first > days.last:
        return []
    cuts = {first, days.last + DAY}
    known = changes(standing, today) if known is None else known
    cuts |= {cut for cut in known if first < cut <= days.last}
    return [
        DayAnswer(Days(a, after - DAY), bare_answer(standing, Days(a, a, now=now), today))
        for a, after in pairwise(sorted(cuts))
    ]


def changes(standing: CounterFacts, today: date) -> frozenset[date]:
    """Return the days on which the answer can differ from that of the day before."""
    return frozenset(_changes(standing, today))


def _changes(standing: CounterFacts, today: date) -> Iterator[date]:
    """Yield each day on which the answer can differ from that of the day before."""
    yield today + DAY
    for hard in (True, False):
        yield today + days_to_plan(standing, hard=hard) * DAY + DAY
    if standing.machine.retired_on:
        yield standing.machine.retired_on
    for promise in standing.promises:
        taken = promise.days(today)
        yield from (taken.first, taken.last + DAY)
        yield from _moments_cut(standing, promise)
    for block in standing.blocks:
        yield block.first_day
        if block.last_day:
            yield block.last_day + DAY
    for point in standing.due_points:
        if not (point.hard or point.service.blocks_rental):
            continue
        yield from _reached_in_a_day(standing, point)
        if point.closes_day:
            yield point.closes_day + DAY
    yield from (day + DAY for day in standing.planned.values())


def _moments_cut(standing: CounterFacts, promise: StandingBooking) -> Iterator[date]:
    """Yield the first day that a promise takes a part of, and the first that it leaves whole."""
    starts, ends = promise.booking.starts_at, promise.booking.ends_at
    if starts is not None:
        zone = standing.machine.yard.zone
        yield starts.astimezone(zone).date()
        yield (ends - MOMENT).astimezone(zone).date() + DAY


def _reached_in_a_day(standing: CounterFacts, point: DuePoint) -> Iterator[date]:
    """Yield the first days of which a single day out is enough for a service to fall due.

    A day of hire runs on for as many usual days as its use is more, so it is reached that much
    sooner; the days around it are cut too, so that no rounding matters.
    """
    for day in (point.p10 if point.hard else None, point.p50):
        if day:
            yield day
            if standing.use.stretch(point) == 1:
                continue
            sooner = day + round(1 - standing.use.stretch(point)) * DAY
            yield from (sooner - DAY, sooner, sooner + DAY)
