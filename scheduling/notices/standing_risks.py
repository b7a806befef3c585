"""What the desk was told of bookings at risk, and which of it still stands."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.models import Shop
from scheduling.models import Notice, ToldRisk
from scheduling.notices.causes import CAUSE_FIELDS, NoticeCause, cause_of_risk
from scheduling.queries.bookings_at_risk import Risk
from scheduling.queries.risk_advice import AtRisk

AT_RISK = Notice.Kind.AT_RISK


@dataclass(frozen=True)
class StandingRisk:
    """A cause that was told and was not yet seen to be gone."""

    pk: int
    cause: NoticeCause


def causes_of(entry: AtRisk) -> list[NoticeCause]:
    """Return the causes of all that stands against a booking, gravest first."""
    return [cause_of_risk(Risk(entry.booking, block)) for block in entry.blocks]


def standing_risks(shop: Shop, machine_ids: Collection[int] | None) -> list[StandingRisk]:
    """Return what was told of a shop's bookings, or of those of some machines; one query."""
    rows = ToldRisk.objects.filter(over_at=None, notice__shop=shop)
    if machine_ids is not None:
        rows = rows.filter(booking__machine__in=machine_ids)
    fields = ("pk", "booking_id", "service_id", "hold_id", "block_kind")
    return [
        StandingRisk(pk, NoticeCause(AT_RISK, None, booking, service, hold, kind))
        for pk, booking, service, hold, kind in rows.values_list(*fields)
    ]


def close_gone(
    standing: Collection[StandingRisk], causes: Collection[NoticeCause], now: datetime
) -> None:
    """Mark what stands no more as over, and each letter of which nothing stands any more."""
    gone = [one.pk for one in standing if one.cause not in causes]
    if not gone:
        return
    with transaction.atomic():
        rows = ToldRisk.objects.filter(pk__in=gone)
        letters = set(rows.values_list("notice_id", flat=True))
        rows.update(over_at=now)
        still = ToldRisk.objects.filter(notice__in=letters, over_at=None).values("notice")
        Notice.objects.filter(pk__in=letters).exclude(pk__in=still).update(over_at=now)


def next_rounds(bookings: Collection[int]) -> dict[NoticeCause, int]:
    """Return the round in which a letter on each cause of these bookings would be the next."""
    rows = Notice.objects.filter(kind=AT_RISK, booking__in=bookings)
    rounds: dict[NoticeCause, int] = {}
    for number, *fields in rows.values_list("round", *CAUSE_FIELDS).order_by("round"):
        rounds[NoticeCause(*fields)] = number + 1
    return rounds


def keep_told(told: Iterable[tuple[Notice, Iterable[NoticeCause]]]) -> None:
    """Keep what each letter told; one query."""
    ToldRisk.objects.bulk_create(
        ToldRisk(
            notice=notice,
            booking_id=cause.booking_id,
            service_id=cause.service_id,
            hold_id=cause.hold_id,
            block_kind=cause.block_kind,
        )
        for notice, causes in told
        for cause in causes
        if cause.booking_id is not None
    )
