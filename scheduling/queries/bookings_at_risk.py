"""Bookings at risk: promised machines that are blocked, or will be, before they are back."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet

from fleet.models import Booking, HandOver, Shop
from scheduling.models import Block
from scheduling.queries.said_blocks import with_causes

GRAVEST_FIRST = (
    Block.Kind.RETIRED,
    Block.Kind.HOLD,
    Block.Kind.LIMIT,
    Block.Kind.OVERDUE,
    Block.Kind.FALLS_DUE,
    Block.Kind.IDLE,
)
"""Kinds of block that put a booking at risk; the plan goes round a day in the shop."""

StandsAgainst = tuple[int, int | None, int | None]
"""Numbers of a machine, and of its service or hold."""


@dataclass(frozen=True)
class Risk:
    """One booking and one piece of work (or hold) that stands against it.

    The booking carries is_out: whether the machine has left.
    """

    booking: Booking
    block: Block

    @property
    def work(self) -> StandsAgainst:
        """The work or hold that stands against the booking, the same after every rebuild."""
        point = self.block.due_point
        return self.block.machine_id, point.service_id if point else None, self.block.hold_id


def open_bookings(
    shop: Shop, today: date, machine_ids: Collection[int] | None = None
) -> QuerySet[Booking]:
    """Bookings of a shop's machines that are promised or out, with is_out beside each.

    Those of a machine that was retired since too: somebody has to answer them.
    """
    gone = HandOver.objects.filter(booking=OuterRef("pk"))
    rows = Booking.objects.filter(
        ~Exists(gone.filter(direction=HandOver.Direction.BACK)),
        machine__yard__shop=shop,
        cancelled_at=None,
        last_day__gte=today,
    )
    if machine_ids is not None:
        rows = rows.filter(machine__in=machine_ids)
    return rows.annotate(
        is_out=Exists(gone.filter(direction=HandOver.Direction.OUT))
    ).select_related("machine__makeup__machine_class", "machine__yard")


def bookings_to_come(shop: Shop, today: date, last: date) -> list[Booking]:
    """Return bookings that begin after today, up to a last day, and have not gone out early."""
    rows: QuerySet[Any] = open_bookings(shop, today)
    rows = rows.filter(first_day__gt=today, first_day__lte=last)
    return [row for row in rows if not row.is_out]


def risks_of(bookings: Iterable[Booking], today: date) -> list[Risk]:
    """Return what stands against these bookings from today on, gravest kind first.

    One risk a booking and piece of work; two queries, however many bookings.
    """
    booked = list(bookings)
    by_machine: dict[int, list[Block]] = {}
    for block in _blocks({booking.machine_id for booking in booked}, today):
        by_machine.setdefault(block.machine_id, []).append(block)
    found: dict[tuple[int, StandsAgainst], Risk] = {}
    for booking in booked:
        for block in by_machine.get(booking.machine_id, []):
            if _stands_against(block, booking, today):
                risk = Risk(booking, block)
                _keep_gravest(found, risk)
    return sorted(found.values(), key=lambda r: (r.booking.first_day, r.booking.pk, _rank(r)))


def _blocks(machines: set[int], today: date) -> QuerySet[Block]:
    lasting = Q(last_day=None) | Q(last_day__gte=today)
    rows = Block.objects.filter(lasting, machine__in=machines, kind__in=GRAVEST_FIRST)
    return with_causes(rows).select_related("due_point__machine")


def _stands_against(block: Block, booking: Booking, today: date) -> bool:
    if block.booking_id is not None:
        return block.booking_id == booking.pk
    first = max(booking.first_day, today)
    return block.first_day <= booking.last_day and (
        block.last_day is None or block.last_day >= first
    )


def _keep_gravest(found: dict[tuple[int, StandsAgainst], Risk], risk: Risk) -> None:
    place = (risk.booking.pk, risk.work)
    if place not in found or _rank(risk) < _rank(found[place]):
        found[place] = risk


def _rank(risk: Risk) -> int:
    return GRAVEST_FIRST.index(Block.Kind(risk.block.kind))
