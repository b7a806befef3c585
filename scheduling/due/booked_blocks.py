"""Blocks that bookings and the plan make: services that fall due while out, days in the shop."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.db.models.functions import Coalesce

from fleet.models import Booking, HandOver
from fleet.queries.covered_services import Pairs, covered_services, covering_pairs
from scheduling.due.block_rows import BlockRow, Cause
from scheduling.due.block_writing import block_rows, write_blocks
from scheduling.due.own_blocks import OWN_KINDS
from scheduling.due.row_writing import Written
from scheduling.facts.prepared import rows_of
from scheduling.facts.scope import Scope
from scheduling.facts.yard_days import zone_of
from scheduling.models import Block, DuePoint, PlannedJob, PlannedWork

KINDS = (Block.Kind.FALLS_DUE, Block.Kind.IN_SHOP, Block.Kind.RETIRED)
BOOKING_FIELDS = ("pk", "machine_id", "first_day", "last_day", "machine__yard__time_zone",
                  "machine__retired_on")  # fmt: skip


@dataclass(frozen=True)
class Coming:
    """One service of a machine that will fall due, and the day it is planned for."""

    key: int
    service: int
    day: date
    planned: date | None

    @property
    def as_values(self) -> dict[str, Any]:
        """Return it as a block carries it, in plain JSON."""
        planned = self.planned.isoformat() if self.planned else None
        return {"service": self.service, "day": self.day.isoformat(), "planned": planned}


def write_booked(scope: Scope, now: datetime) -> Written:
    """Write the blocks that follow from bookings, due points and the plan, with six queries."""
    wanted = _booked_blocks(scope, now, rows_of(covering_pairs, scope))
    return write_blocks(rows_of(_standing_blocks, scope), wanted)


def write_all_blocks(
    scope: Scope, now: datetime, own: dict[Cause, BlockRow], covers: Pairs
) -> Written:
    """Write these blocks of the machines' own states and those of `write_booked` beside them.

    covers: what services cover, on record.  Together they take five queries.
    """
    wanted = own | _booked_blocks(scope, now, covers)
    return write_blocks(rows_of(_all_blocks, scope), wanted)


def _booked_blocks(scope: Scope, now: datetime, covers: Pairs) -> dict[Cause, BlockRow]:
    coming = _coming(scope, covers)
    wanted: dict[Cause, BlockRow] = {}
    for booking in _bookings(scope, now):
        found = _falls_due(booking, coming.get(booking["machine_id"], []), now)
        wanted |= found | _retired(booking)
    return wanted | _in_shop(scope, now)


def _standing_blocks(scope: Scope) -> QuerySet[Block, Any]:
    return block_rows(scope, KINDS)


def _all_blocks(scope: Scope) -> QuerySet[Block, Any]:
    return block_rows(scope, (*OWN_KINDS, *KINDS))


def _coming(scope: Scope, covers: Pairs) -> dict[int, list[Coming]]:
    """Return the services that keep a machine from going out, first to fall due first."""
    planned = _planned(scope, covers)
    found: dict[int, list[Coming]] = {}
    for machine, pk, service, day in rows_of(_falling_due, scope):
        if day is not None:
            coming = Coming(pk, service, day, planned.get((machine, service)))
            found.setdefault(machine, []).append(coming)
    return found


def _falling_due(scope: Scope) -> QuerySet[DuePoint, Any]:
    return (
        DuePoint.objects.filter(scope.on("machine"), p50__isnull=False)
        .filter(Q(service__blocks_rental=True) | Q(hard=True))
        .order_by("machine_id", "p50", "pk")
        .values_list("machine_id", "pk", "service_id", "p50")
    )


def _planned(scope: Scope, covers: Pairs) -> dict[tuple[int, int], date]:
    """Return the day on which each service of a machine is planned, itself or by another."""
    covered = covered_services(covers)
    days: dict[tuple[int, int], date] = {}
    for machine, makeup, service, day in rows_of(_planned_work, scope):
        if day is not None:
            days |= {(machine, each): day for each in covered.done_with(makeup, service)}
    return days


def _planned_work(scope: Scope) -> QuerySet[PlannedWork, Any]:
    """Return what is planned, the last day first, so that the first day has the last word.

    The day is that on which the work is done, of a visit over several days its last.
    """
    done = Coalesce("job__last_day", "job__day")
    rows = PlannedWork.objects.filter(
        scope.on("machine"), job__isnull=False, service__isnull=False
    ).values_list("machine_id", "machine__makeup_id", "service_id", done)
    return rows.order_by(done.desc())


def _bookings(scope: Scope, now: datetime) -> Iterable[dict[str, Any]]:
    """Return bookings that are not over."""
    for row in rows_of(_standing, scope, yesterday=_yesterday(now), now=now):
        yield dict(zip(BOOKING_FIELDS, row, strict=True))


def _yesterday(now: datetime) -> date:
    """Return the day before that of UTC: no yard's day is earlier."""
    return now.date() - timedelta(days=1)


def _standing(scope: Scope, yesterday: date, now: datetime) -> QuerySet[Booking, Any]:
    back = HandOver.objects.filter(
        booking=OuterRef("pk"), direction=HandOver.Direction.BACK, at__lte=now
    )
    return (
        Booking.objects.filter(
            ~Exists(back), scope.on("machine"), cancelled_at=None, made_at__lte=now
        )
        .filter(last_day__gte=yesterday)
        .order_by("machine_id", "first_day", "pk")
        .values_list(*BOOKING_FIELDS)
    )


def _falls_due(
    booking: dict[str, Any], coming: list[Coming], now: datetime
) -> dict[Cause, BlockRow]:
    today = now.astimezone(zone_of(booking["machine__yard__time_zone"])).date()
    due = [service for service in coming if service.day <= booking["last_day"]]
    if not due or booking["last_day"] < today:
        return {}
    row = BlockRow(
        booking["first_day"],
        booking["last_day"],
        due_point_id=due[0].key,
        booking_id=booking["pk"],
        works=[service.as_values for service in due],
    )
    return {(booking["machine_id"], Block.Kind.FALLS_DUE, booking["pk"]): row}


def _retired(booking: dict[str, Any]) -> dict[Cause, BlockRow]:
    """Return what stands against a promise whose machine was retired since."""
    retired = booking["machine__retired_on"]
    if retired is None or retired > booking["last_day"]:
        return {}
    first = max(retired, booking["first_day"])
    row = BlockRow(first, booking["last_day"], hard=True, booking_id=booking["pk"])
    return {(booking["machine_id"], Block.Kind.RETIRED, booking["pk"]): row}


def _in_shop(scope: Scope, now: datetime) -> dict[Cause, BlockRow]:
    """Return the days on which machines stand in the shop by the plan.

    One that stands open, with work on it under way, may not go out until that is finished.
    """
    found: dict[Cause, BlockRow] = {}
    for machine, *visit in rows_of(_visits, scope, yesterday=_yesterday(now)):
        day, last, zone, shop, minutes, begun = visit
        today = now.astimezone(zone_of(zone)).date()
        first, last = (min(day, today) if begun else day), last or day
        cause = (machine, Block.Kind.IN_SHOP, first.toordinal())
        if last >= today and (cause not in found or (found[cause].last_day or first) < last):
            found[cause] = BlockRow(first, last, shop_id=shop, minutes=minutes, begun=begun)
    return found


def _visits(scope: Scope, yesterday: date) -> QuerySet[PlannedJob, Any]:
    begun = PlannedWork.objects.filter(job=OuterRef("pk"), begun=True)
    rows = PlannedJob.objects.filter(
        Q(day__gte=yesterday) | Q(last_day__gte=yesterday), scope.on("machine")
    )
    return rows.order_by("day").values_list(
        "machine_id", "day", "last_day", "plan__shop__time_zone", "plan__shop_id", "minutes",
        Exists(begun),
    )  # fmt: skip
