"""What a counter should know of a machine that may go out all the same."""

from collections.abc import Iterator
from datetime import date

from fleet.models import MeterKind
from fleet.saying import capital, say_date, short_date, without_stop
from scheduling.availability.counter_facts import CounterFacts, Days
from scheduling.availability.objections import DAY, shop_days
from scheduling.due.sentences import METER_WORDS
from scheduling.models import DuePoint, State


def cautions(standing: CounterFacts, days: Days, today: date) -> list[str]:
    """Return one sentence for each thing to know, doubts first."""
    return [
        *doubts(standing, days, today),
        *_other_services(standing, days, today),
        *_defects(standing, today),
        *_shop_gives_way(standing, days, today),
    ]


def doubts(standing: CounterFacts, days: Days, today: date) -> list[str]:
    """Return what makes a yes unsure; a machine without a doubt is the better choice."""
    return [
        *_still_away(standing, days, today),
        *_may_fall_due(standing, days, today),
        *_missing(standing),
    ]


def _still_away(standing: CounterFacts, days: Days, today: date) -> Iterator[str]:
    for promise in standing.promises:
        late = promise.is_late(today, standing.machine, days.now)
        if late and days.first > today:
            back = short_date(promise.booking.last_day, today)
            yield f"It is still out with {promise.booking.customer} and was due back {back}."


def _may_fall_due(standing: CounterFacts, days: Days, today: date) -> Iterator[str]:
    for point in standing.due_points:
        bars = point.hard or point.service.blocks_rental
        reach = standing.use.usual_day(point, days.first, days.last)
        later = point.p50 is None or point.p50.toordinal() > reach
        if bars and later and point.p10 and point.p10.toordinal() <= reach:
            early = standing.use.day_reached(point, point.p10, days.first)
            day = say_date(max(early, today), today)
            yield f"{point.service} may fall due as early as {day}: {_look(point)}."


def _look(point: DuePoint) -> str:
    if not point.meter_kind:
        return "have it back in time"
    return f"read the {METER_WORDS[MeterKind(point.meter_kind)]} before it goes"


def _other_services(standing: CounterFacts, days: Days, today: date) -> Iterator[str]:
    """Services that never keep a machine from going out, and are due all the same."""
    for point in standing.due_points:
        bars = point.hard or point.service.blocks_rental
        if not bars and point.p50 and point.p50 <= days.last:
            when = "now" if point.p50 <= today else say_date(point.p50, today)
            yield f"{point.service} is due {when}; it does not stop the machine from going out."


def _defects(standing: CounterFacts, today: date) -> Iterator[str]:
    zone = standing.machine.yard.zone
    for finding in standing.defects:
        seen = short_date(finding.seen_at.astimezone(zone).date(), today)
        yield f"Seen {seen} and not mended yet: {without_stop(finding.text)}."


def _shop_gives_way(standing: CounterFacts, days: Days, today: date) -> Iterator[str]:
    firm = today + standing.frozen_days * DAY
    for block in shop_days(standing.blocks, days):
        if block.first_day > firm:
            day = short_date(block.first_day, today)
            yield f"It is planned into the shop {day}; a booking moves that to another day."


def _missing(standing: CounterFacts) -> Iterator[str]:
    state = standing.state
    if state and state.state != State.UNKNOWN and state.missing:
        yield f"{capital(state.missing)}."
