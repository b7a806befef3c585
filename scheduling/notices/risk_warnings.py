"""Warnings to the desk: a booked machine falls due, or may not go out, before it is back.

Given from Shop.warn_days before check-out on, at once where it becomes so later, and once for each
cause: booking, work and kind of block.  When the cause is gone its notices are marked as over, so
that the same risk coming back is a new round and is told again.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db import transaction
from django.db.models import Q

from fleet.models import Person, Shop
from fleet.saying import counted, distance, say_span
from scheduling.models import Block, Notice
from scheduling.notices.addressees import desk, desk_among
from scheduling.notices.causes import CAUSE_FIELDS, NoticeCause, cause_of_risk
from scheduling.notices.letter import Letter, link, mark, write
from scheduling.notices.posting import NewNotice, put_all
from scheduling.queries.bookings_at_risk import Risk, open_bookings, risks_of
from scheduling.queries.risk_advice import AtRisk, each_at_risk

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
class _Open:
    """A notice that was made and whose cause was not yet seen to be gone."""

    pk: int
    cause: NoticeCause


def warn_of_risks(
    shop: Shop,
    now: datetime,
    machine_ids: Collection[int] | None = None,
    beside: Sequence[NewNotice] = (),
    people: Sequence[Person] = (),
) -> int:
    """Warn the desk of bookings at risk; return how many notices were made.

    beside: notices of other causes that the same change brings, put together with these.
    people: all who hear of the shop, where they are known; else its desk is looked up.

    Call it after blocks have changed; with machine_ids it looks at these machines alone.  The
    number of queries grows neither with the fleet nor with the notices to make.
    """
    today = now.astimezone(shop.zone).date()
    standing = _standing(shop, machine_ids)
    soon = Q(first_day__lte=today + timedelta(days=shop.warn_days))
    warned = Q(pk__in={notice.cause.booking_id for notice in standing})
    risks = risks_of(open_bookings(shop, today, machine_ids).filter(soon | warned), today)
    causes = {cause_of_risk(risk) for risk in risks}
    _close([notice for notice in standing if notice.cause not in causes], now)
    told = {notice.cause for notice in standing}
    last = today + timedelta(days=shop.warn_days)
    fresh = [r for r in risks if cause_of_risk(r) not in told and r.booking.first_day <= last]
    if not fresh:
        return put_all(beside, now) if beside else 0
    with transaction.atomic(savepoint=False):
        desk_people = desk_among(people) or desk(shop)
        return put_all([*_warnings(shop, fresh, today, desk_people), *beside], now)


def _standing(shop: Shop, machine_ids: Collection[int] | None) -> list[_Open]:
    rows = Notice.objects.filter(shop=shop, kind=Notice.Kind.AT_RISK, over_at=None)
    if machine_ids is not None:
        rows = rows.filter(machine__in=machine_ids)
    return [_Open(pk, NoticeCause(*cause)) for pk, *cause in rows.values_list("pk", *CAUSE_FIELDS)]


def _close(gone: list[_Open], now: datetime) -> None:
    if gone:
        Notice.objects.filter(pk__in=[notice.pk for notice in gone]).update(over_at=now)


def _warnings(
    shop: Shop, risks: list[Risk], today: date, people: Sequence[Person]
) -> list[NewNotice]:
    """Return the notices of new risks, one a person of the desk."""
    rounds = _next_rounds({risk.booking.pk for risk in risks})
    news = []
    for risk, entry in zip(risks, each_at_risk(risks, today), strict=True):
        cause = cause_of_risk(risk)
        letter = write_warning(risk, entry, today)
        machine, number = risk.booking.machine, rounds.get(cause, 0)
        news += [NewNotice(cause, person, shop, letter, machine, number) for person in people]
    return news


def _next_rounds(bookings: set[int]) -> dict[NoticeCause, int]:
    """Return the round in which each cause of these bookings that came and went would be next."""
    over = Notice.objects.filter(
        kind=Notice.Kind.AT_RISK, booking__in=bookings, over_at__isnull=False
    )
    rounds: dict[NoticeCause, int] = {}
    for number, *fields in over.values_list("round", *CAUSE_FIELDS).order_by("round"):
        rounds[NoticeCause(*fields)] = number + 1
    return rounds


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
            "sentence": entry.said[0],
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
        return f"It was due out {counted((today - first_day).days, 'day')} ago."
    return f"It is to go out {distance(first_day, today)}."
