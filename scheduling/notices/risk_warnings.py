"""Warnings to the desk: booked machines that fall due, or may not go out, before they are back.

Told once for each cause: booking, work and kind of block.  When a cause is gone it is marked as
over, so that the same risk coming back is told again.  A desk reads one letter a booking, whatever
the number of services:

- a night tells all that is new, from Shop.warn_days before check-out on, in one digest a day; a
  digest of one booking reads as the letter on that booking;
- what changes by day is told at once where it concerns the next two days, and else by the night.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db import transaction
from django.db.models import Q

from fleet.models import Machine, Person, Shop
from scheduling.models import Notice
from scheduling.notices.addressees import desk, desk_among
from scheduling.notices.causes import NoticeCause, cause_of_day, cause_of_risk
from scheduling.notices.letter import Letter
from scheduling.notices.posting import NewNotice, keep_all, put_all
from scheduling.notices.risk_letters import write_digest, write_warning
from scheduling.notices.standing_risks import (
    StandingRisk,
    causes_of,
    close_gone,
    keep_told,
    next_rounds,
    standing_risks,
)
from scheduling.queries.bookings_at_risk import Risk, open_bookings, risks_of, unsettled
from scheduling.queries.risk_advice import AtRisk, at_risk

AT_ONCE = timedelta(days=2)
"""What goes out within these days is told at once; the rest can wait for the morning."""


@dataclass(frozen=True)
class _RiskLetter:
    """One letter for each of the desk: its cause, and all the causes that it tells."""

    cause: NoticeCause
    letter: Letter
    tells: Sequence[NoticeCause]
    machine: Machine | None = None
    round: int = 0


def warn_of_risks(
    shop: Shop,
    now: datetime,
    machine_ids: Collection[int] | None = None,
    beside: Sequence[NewNotice] = (),
    people: Sequence[Person] = (),
) -> int:
    """Warn the desk of bookings at risk; return how many notices were made.

    machine_ids: those that changed by day; None: the night, which looks at all.
    beside: notices of other causes that the same change brings, put together with these.
    people: all who hear of the shop, where they are known; else its desk is looked up.

    Call it after blocks have changed.  The number of queries grows neither with the fleet nor with
    the notices to make.
    """
    today = now.astimezone(shop.zone).date()
    standing = standing_risks(shop, machine_ids)
    risks = _risks(shop, today, standing, machine_ids)
    close_gone(standing, {cause_of_risk(risk) for risk in risks}, now)
    last = today + timedelta(days=shop.warn_days)
    near = [risk for risk in risks if risk.booking.first_day <= last]
    told = {one.cause for one in standing}
    by_night = machine_ids is None
    if not [risk for risk in _in_time(near, today, by_night) if cause_of_risk(risk) not in told]:
        return put_all(beside, now) if beside else 0
    entries = at_risk(near, today)
    with transaction.atomic(savepoint=False):
        Shop.objects.select_for_update(no_key=True).get(
            pk=shop.pk
        )  # who looks at the same time waits
        told = {one.cause for one in standing_risks(shop, machine_ids)}
        letters = _letters(shop, entries, told, today, by_night)
        return _put(shop, letters, desk_among(people) or desk(shop), beside, now)


def _risks(
    shop: Shop, today: date, standing: Collection[StandingRisk], machine_ids: Collection[int] | None
) -> list[Risk]:
    """Return what stands against bookings that are near enough to be warned of, or were."""
    soon = Q(first_day__lte=today + timedelta(days=shop.warn_days))
    warned = Q(pk__in={one.cause.booking_id for one in standing})
    rows = open_bookings(shop, today, machine_ids).filter(soon | warned)
    return unsettled(risks_of(rows, today))


def _in_time(risks: Sequence[Risk], today: date, by_night: bool) -> list[Risk]:
    """Return what does not wait for the next night."""
    return [one for one in risks if by_night or one.booking.first_day <= today + AT_ONCE]


def _letters(
    shop: Shop,
    entries: Sequence[AtRisk],
    told: Collection[NoticeCause],
    today: date,
    by_night: bool,
) -> list[_RiskLetter]:
    """Return the letters that are due: one a booking, or one digest where a night has several."""
    fresh = [one for one in entries if any(cause not in told for cause in causes_of(one))]
    digest = cause_of_day(Notice.Kind.AT_RISK, today)
    if by_night and Notice.objects.filter(**digest.fields(), shop=shop).exists():
        by_night = False  # the digest of the day has been made: what comes after it is told by day
    if not by_night:
        fresh = [one for one in fresh if one.booking.first_day <= today + AT_ONCE]
    if by_night and len(fresh) > 1:
        before = [one for one in entries if one not in fresh]
        tells = [cause for one in fresh for cause in causes_of(one)]
        return [_RiskLetter(digest, write_digest(fresh, before, today), tells)]
    rounds = next_rounds({one.booking.pk for one in fresh})
    return [_of_one(one, rounds, today) for one in fresh]


def _of_one(entry: AtRisk, rounds: dict[NoticeCause, int], today: date) -> _RiskLetter:
    causes = causes_of(entry)
    first = causes[0]
    letter = write_warning(entry, today)
    return _RiskLetter(first, letter, causes, entry.booking.machine, rounds.get(first, 0))


def _put(
    shop: Shop,
    letters: Sequence[_RiskLetter],
    people: Sequence[Person],
    beside: Sequence[NewNotice],
    now: datetime,
) -> int:
    """Keep the letters for each of the desk, and what they tell."""
    each = [(one, person) for one in letters for person in people]
    news = [
        NewNotice(one.cause, person, shop, one.letter, one.machine, one.round)
        for one, person in each
    ]
    kept = keep_all([*news, *beside], now)
    pairs = zip(each, kept, strict=False)  # what stands beside them comes after them
    keep_told((notice, one.tells) for (one, _), notice in pairs if notice)
    return sum(notice is not None for notice in kept)
