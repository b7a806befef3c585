"""Warnings to the desk: a booked machine falls due, or may not go out, before it is back.

Given from Shop.warn_days before check-out on, at once where it becomes so later, and once for each
cause: booking, work and kind of block.  When the cause is gone its notices are marked as over, so
that the same risk coming back is a new cause and is told again.
"""

from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db import transaction
from django.db.models import Q

from fleet.models import Person, Shop
from fleet.saying import counted, distance, say_span
from scheduling.models import Block, Notice
from scheduling.notices.addressees import desk
from scheduling.notices.letter import Letter, link, mark, write
from scheduling.notices.posting import NewNotice, put
from scheduling.queries.bookings_at_risk import Risk, open_bookings, risks_of
from scheduling.queries.risk_advice import AtRisk, at_risk

SUBJECTS = {
    Block.Kind.HOLD: ("is held and booked", "is held and out"),
    Block.Kind.LIMIT: ("may not go out and is booked", "is out past a hard limit"),
    Block.Kind.OVERDUE: ("is overdue and booked", "is overdue and out"),
    Block.Kind.FALLS_DUE: ("falls due before it is back", "falls due before it is back"),
    Block.Kind.IDLE: ("has stood too long and is booked", "has stood too long and is out"),
}
"""Kind of block -> what the subject says while the machine is in the yard, and while it is out."""


@dataclass(frozen=True)
class _Open:
    """A notice that was made and whose cause was not yet seen to be gone."""

    pk: int
    cause: str
    booking: int


def warn_of_risks(shop: Shop, now: datetime, machine_ids: Collection[int] | None = None) -> int:
    """Warn the desk of bookings at risk; return how many notices were made.

    Call it after blocks have changed; with machine_ids it looks at these machines alone.  The
    number of queries does not grow with the fleet, only with the notices to make.
    """
    today = now.astimezone(shop.zone).date()
    standing = _standing(shop, machine_ids)
    soon = Q(first_day__lte=today + timedelta(days=shop.warn_days))
    warned = Q(pk__in={notice.booking for notice in standing})
    risks = risks_of(open_bookings(shop, today, machine_ids).filter(soon | warned), today)
    _close([n for n in standing if n.cause not in {risk.cause for risk in risks}], now)
    told = {notice.cause for notice in standing}
    last = today + timedelta(days=shop.warn_days)
    fresh = [r for r in risks if r.cause not in told and r.booking.first_day <= last]
    return _warn(shop, fresh, now, today) if fresh else 0


def _standing(shop: Shop, machine_ids: Collection[int] | None) -> list[_Open]:
    rows = Notice.objects.filter(shop=shop, kind=Notice.Kind.AT_RISK, over_at=None)
    if machine_ids is not None:
        rows = rows.filter(machine__in=machine_ids)
    return [
        _Open(pk, _cause_of(key), booking)
        for pk, key, booking in rows.values_list("pk", "key", "booking_id")
    ]


def _cause_of(key: str) -> str:
    """Return a key without its last two parts: how many times before, and the person."""
    return key.rsplit(":", 2)[0]


def _close(gone: list[_Open], now: datetime) -> None:
    if gone:
        Notice.objects.filter(pk__in=[notice.pk for notice in gone]).update(over_at=now)


@transaction.atomic
def _warn(shop: Shop, risks: list[Risk], now: datetime, today: date) -> int:
    """Make the notices of new risks, one a person of the desk."""
    people = desk(shop)
    times = _times_before({risk.booking.pk for risk in risks})
    made = 0
    for risk in risks:
        letter = write_warning(risk, at_risk([risk], today)[0], today)
        made += sum(
            put(_notice(shop, risk, person, letter, times[risk.cause]), now) is not None
            for person in people
        )
    return made


def _notice(shop: Shop, risk: Risk, person: Person, letter: Letter, times: int) -> NewNotice:
    return NewNotice(
        key=f"{risk.cause}:{times}:{person.pk}",
        kind=Notice.Kind.AT_RISK,
        person=person,
        shop=shop,
        letter=letter,
        machine=risk.booking.machine,
        booking=risk.booking,
    )


def _times_before(bookings: set[int]) -> Counter[str]:
    """Count how often each cause of these bookings has come and gone."""
    over = Notice.objects.filter(
        kind=Notice.Kind.AT_RISK, booking__in=bookings, over_at__isnull=False
    )
    rounds = {key.rsplit(":", 1)[0] for key in over.values_list("key", flat=True)}
    return Counter(each.rsplit(":", 1)[0] for each in rounds)


def write_warning(risk: Risk, entry: AtRisk, today: date) -> Letter:
    """Write what is booked, what stands against it, and what the desk can do."""
    booking, machine = risk.booking, risk.booking.machine
    out = booking.is_out  # type: ignore[attr-defined]  # beside each booking by open_bookings
    what = SUBJECTS[Block.Kind(risk.block.kind)][out]
    days = say_span(booking.first_day, booking.last_day, today)
    return write(
        "risk",
        f"{machine.tag} {what}: {booking.customer}, {days}",
        {
            "mark": mark(entry.state),
            "machine": machine,
            "booking": booking,
            "days": days,
            "goes": _goes(booking.first_day, today, out=out),
            "sentence": risk.block.sentence,
            "hard": risk.block.hard,
            "what_to_do": entry.what_to_do,
            "machine_url": link("machine", machine.tag),
            "counter_url": link("counter"),
        },
    )


def _goes(first_day: date, today: date, *, out: bool) -> str:
    if out:
        return "It is out now."
    if first_day < today:
        return f"It was to go out {counted((today - first_day).days, 'day')} ago."
    return f"It is to go out {distance(first_day, today)}."
