"""Letters on bookings at risk: one booking with all that stands against it, or a day's digest."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from urllib.parse import urlencode

from fleet.models import Booking
from fleet.saying import counted, distance, joined, say_span
from scheduling.models import Block
from scheduling.notices.letter import Letter, StateMark, link, mark, write
from scheduling.queries.risk_advice import AtRisk

LONGEST_DIGEST = 20
"""Bookings of a digest that are told in full; the Counter shows the rest."""

SUBJECTS = {
    Block.Kind.RETIRED: ("is retired and booked", "is retired and out"),
    Block.Kind.HOLD: ("is held and booked", "is held and out"),
    Block.Kind.LIMIT: ("may not go out and is booked", "is out past a hard limit"),
    Block.Kind.OVERDUE: ("is overdue and booked", "is overdue and out"),
    Block.Kind.FALLS_DUE: ("falls due before it is back", "falls due before it is back"),
    Block.Kind.IDLE: ("has sat too long and is booked", "has sat too long and is out"),
}
"""Kind of block -> what the subject says while the machine is in the yard, and while it is out."""


@dataclass(frozen=True)
class ToldBooking:
    """One booking as a letter tells it; said: a sentence for each thing that stands against it."""

    mark: StateMark
    booking: Booking
    what: str
    days: str
    goes: str
    said: Sequence[str]
    hard: bool
    what_to_do: str
    machine_url: str
    counter_url: str
    booking_url: str


def write_warning(entry: AtRisk, today: date) -> Letter:
    """Write what is booked, all that stands against it, and what the desk can do."""
    told = _told(entry, today)
    machine = told.booking.machine
    subject = f"{machine.tag} {told.what}: {told.booking.customer}, {told.days}"
    return write("risk", subject, {"told": told, "machine": machine})


def write_digest(fresh: Sequence[AtRisk], before: Sequence[AtRisk], today: date) -> Letter:
    """Write a day's digest: bookings that were not told yet, then those that still stand.

    before: bookings of which everything was told and still stands.
    """
    told = [_told(one, today) for one in fresh]
    return write(
        "risks",
        f"{counted(len(fresh), 'booking')} newly at risk: {_when(fresh, today)}",
        {
            "told": told[:LONGEST_DIGEST],
            "more": max(len(told) - LONGEST_DIGEST, 0),
            "before": [_told(one, today) for one in before],
            "counter_url": link("counter"),
        },
    )


def _when(fresh: Sequence[AtRisk], today: date) -> str:
    """Say how many are out, and when the first of the others goes."""
    waiting = [one.booking.first_day for one in fresh if not _is_out(one.booking)]
    out = len(fresh) - len(waiting)
    said = [f"{out} out now"] if out else []
    if waiting:
        said.append(f"the first to go out {distance(max(min(waiting), today), today)}")
    return joined(said)


def _is_out(booking: Booking) -> bool:
    return bool(booking.is_out)  # type: ignore[attr-defined]  # put beside each by open_bookings


def _told(entry: AtRisk, today: date) -> ToldBooking:
    booking, worst = entry.booking, entry.blocks[0]
    out = _is_out(booking)
    return ToldBooking(
        mark=mark(entry.state),
        booking=booking,
        what=SUBJECTS[Block.Kind(worst.kind)][out],
        days=say_span(booking.first_day, booking.last_day, today),
        goes=_goes(booking.first_day, today, out=out),
        said=entry.said,
        hard=any(block.hard for block in entry.blocks),
        what_to_do=entry.what_to_do,
        machine_url=link("machine", booking.machine.tag),
        counter_url=another(booking, today),
        booking_url=link("booking", booking.pk),
    )


def another(booking: Booking, today: date) -> str:
    """Return where the counter answers for other machines of the class on these days."""
    asked = {
        "machine_class": booking.machine.makeup.machine_class_id,
        "first_day": max(booking.first_day, today).isoformat(),
        "last_day": max(booking.last_day, today).isoformat(),
    }
    return f"{link('counter')}?{urlencode(asked)}"


def _goes(first_day: date, today: date, *, out: bool) -> str:
    if out:
        return "It is out now."
    if first_day < today:
        return f"It was due out {counted((today - first_day).days, 'day')} ago."
    return f"It is to go out {distance(first_day, today)}."
