"""Blocks in words: the one place where their values become sentences.  Pure: today is handed in.

Fetch blocks with due_point__service, hold__placed_by, shop and machine__yard.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from fleet.saying import Clause, joined, short_date, without_stop
from scheduling.due.sentences import meter_word, say_use
from scheduling.models import Block

NAMED = 3
"""Services named in one sentence."""

UNTIL_DONE = "it may not go out until this is done"


def bar_words(block: Block, today: date) -> Clause:
    """Say what bars a machine, as a part of a sentence: "Oil service overdue by 12 h"."""
    if block.kind == Block.Kind.HOLD:
        return _hold(block, today)
    service = str(block.due_point.service) if block.due_point else "a service"
    if block.kind == Block.Kind.OVERDUE:
        words = f"{service} overdue{_by(block, today)}"
    elif block.kind == Block.Kind.IDLE:
        words = f"{service} is due before it goes back to work: it has sat too long"
    else:
        words = f"{service} {_limit(block, today)}"
    return Clause(words, name_first=block.due_point is not None)


def block_words(
    block: Block, today: date, services: Mapping[int, str], gone: Collection[int] = ()
) -> str:
    """Say a block in whole sentences; services: names of those that its works speak of, by key.

    gone: bookings on which the machine was handed over.
    """
    if block.kind == Block.Kind.FALLS_DUE:
        return _falls_due(block, today, services, block.booking_id in gone)
    if block.kind == Block.Kind.IN_SHOP:
        return _in_shop(block, today)
    if block.kind == Block.Kind.RETIRED:
        return f"{_retired(block, today)}."
    past = block.kind == Block.Kind.LIMIT and block.reach == Block.Reach.PAST
    lifted = f": {UNTIL_DONE}" if past or block.kind == Block.Kind.OVERDUE else ""
    return f"{bar_words(block, today).head}{lifted}."


def _hold(block: Block, today: date) -> Clause:
    since = short_date(block.first_day, today)
    if block.hold is None:
        return Clause(f"held since {since}")
    reason = without_stop(block.hold.reason)
    return Clause(f"held by {block.hold.placed_by} since {since}: {reason}")


def _retired(block: Block, today: date) -> str:
    since = short_date(block.machine.retired_on or block.first_day, today)
    why = without_stop(block.machine.retired_why)
    return f"Retired since {since}{f': {why}' if why else ''}"


def _by(block: Block, today: date) -> str:
    if block.past_by is not None and block.meter_kind:
        left = block.due_point.remaining if block.due_point else None
        past = block.past_by if left is None or left >= 0 else -left
        return f" by {say_use(past, block.meter_kind, block.machine.yard.units)}"
    if block.due_day is not None and block.due_day < today:
        return f" since {short_date(block.due_day, today)}"
    return ""


def _limit(block: Block, today: date) -> str:
    if block.reach == Block.Reach.PAST:
        return "is past its hard limit"
    if block.reach == Block.Reach.PERHAPS:
        meter = meter_word(block.meter_kind)
        return f"may be past its hard limit: read the {meter}, or do it first"
    when = short_date(block.first_day, today)
    return f"may reach its hard limit by {when}: do it or be back before then"


@dataclass(frozen=True)
class _Work:
    """A service that falls due while a machine is out, and the day for which it is planned."""

    name: str
    day: date
    planned: date | None


def _works(block: Block, services: Mapping[int, str]) -> list[_Work]:
    return [
        _Work(
            services.get(row["service"], "a service"),
            date.fromisoformat(row["day"]),
            date.fromisoformat(row["planned"]) if row["planned"] else None,
        )
        for row in block.works
    ]


def _falls_due(block: Block, today: date, services: Mapping[int, str], is_out: bool) -> str:
    """Say what falls due while out, and what to do about it."""
    due = _works(block, services)
    if not due:
        return "A service falls due while it is out."
    back = short_date(block.last_day or block.first_day, today)
    way = _way_out(block.first_day, due, today, is_out)
    return f"{_names(due)} {_when(due, today)}, back {back}. {way}"


def _names(due: Sequence[_Work]) -> str:
    names = joined([work.name for work in due[:NAMED]])
    return f"{names} and {len(due) - NAMED} more" if len(due) > NAMED else names


def _when(due: Sequence[_Work], today: date) -> str:
    day = due[0].day
    if day <= today:
        return "is due now" if len(due) == 1 else "are due now"
    verb = "falls" if len(due) == 1 else "fall"
    return f"{verb} due from about {short_date(day, today)}"


def _way_out(first: date, due: Sequence[_Work], today: date, is_out: bool) -> str:
    if is_out:
        return "It has gone out already: have it brought in, or swap the machine."
    if first == today:
        return (
            "It is to go out today and has not been handed over: do the work first, or give the"
            " customer another machine."
        )
    if first < today:
        return (
            f"It was to go out {short_date(first, today)} and has not been handed over: do the work"
            " first, or give the customer another machine."
        )
    out = short_date(first, today)
    unplanned = [work.name for work in due if work.planned is None or work.planned >= first]
    if not unplanned:
        days = sorted({work.planned for work in due if work.planned})
        said = joined([short_date(day, today) for day in days])
        return f"Planned for {said}, before it goes out {out}."
    return (
        f"No shop day before it goes out {out} for {joined(unplanned[:NAMED])}: "
        "pin it to an earlier day, or give the customer another machine."
    )


def _in_shop(block: Block, today: date) -> str:
    """Say that a machine stands in the shop, for how much work and until when."""
    hours = block.minutes / 60
    much = f"{hours:.1f}".removesuffix(".0")
    last = block.last_day or block.first_day
    until = f" until {short_date(last, today)}" if last > block.first_day else ""
    where = str(block.shop) if block.shop else "the shop"
    if block.begun:
        return f"Work on it is under way in {where}{until}, {much} h are left."
    return f"In {where} for service{until}, {much} h of work."
