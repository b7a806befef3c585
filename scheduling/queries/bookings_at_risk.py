"""Bookings at risk: promised machines of which the counter says that they may not go.

Whether something stands against one is what `scheduling.availability` answers for it, and so is
whether its work has a shop day before it goes (`Risk.settled`).  Work that lies beyond the plan's
days is no risk; work without a day within them is what the plan could not place.  What stands
against a booking is told by its block, whose cause lasts.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet

from fleet.models import Booking, HandOver, Shop
from scheduling.availability.counter_facts import CounterFacts, left_of
from scheduling.availability.objections import Objection, objections
from scheduling.models import Block, State
from scheduling.queries.planned_for import Planned, day_of_work, planned_for
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
BY_WORK = (Block.Kind.LIMIT, Block.Kind.OVERDUE, Block.Kind.IDLE)
"""Kinds that work ends, of which the block does not say when it is planned."""

StandsAgainst = tuple[int, int | None, int | None]
"""Numbers of a machine, and of its service or hold."""


@dataclass(frozen=True)
class Risk:
    """One booking and one piece of work (or hold) that stands against it.

    The booking carries is_out: whether the machine has left.
    settled: its work has a shop day before the booking goes out; until: the last such day.
    lacking: services among its work that have none.
    """

    booking: Booking
    block: Block
    settled: bool = False
    until: date | None = None
    lacking: frozenset[int] = frozenset()

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
    ).select_related("machine__makeup__machine_class", "machine__yard__shop")


def barred(rows: QuerySet[Booking], today: date, also: Collection[int] = ()) -> QuerySet[Booking]:
    """Return those bookings against whose machine anything stands; also: keys of others to keep.

    Most have nothing against them, and to fetch a booking with its machine costs more than to ask.
    """
    own = Q(booking=OuterRef("pk")) | Q(booking=None, kind=Block.Kind.FALLS_DUE)
    ends = Q(last_day=None) | Q(last_day__gte=OuterRef("first_day"))
    meets = Q(booking=None, first_day__lte=OuterRef("last_day")) & ends
    against = _standing(today).filter(own | meets, machine=OuterRef("machine"))
    return rows.filter(Q(Exists(against)) | Q(pk__in=list(also)))


def bookings_to_come(shop: Shop, today: date, last: date) -> list[Booking]:
    """Return bookings that begin after today, up to a last day, and have not gone out early."""
    rows: QuerySet[Any] = open_bookings(shop, today)
    rows = rows.filter(first_day__gt=today, first_day__lte=last)
    return [row for row in rows if not row.is_out]


def risks_of(bookings: Iterable[Booking], today: date) -> list[Risk]:
    """Return what stands against these bookings from today on, gravest kind first.

    One risk a booking and piece of work; two queries, and two more where work that no booking
    brought stands against one, however many bookings.
    """
    booked = list(bookings)
    machines = {booking.machine_id: booking.machine for booking in booked}
    by_machine: dict[int, list[Block]] = {}
    ours = Q(booking=None) | Q(booking__in=[booking.pk for booking in booked])
    rows = _standing(today).filter(ours, machine__in=machines)
    for block in with_causes(rows, machine=False):
        block.machine = machines[block.machine_id]  # known already: spares two rows a block
        by_machine.setdefault(block.machine_id, []).append(block)
    late = {key for key, own in by_machine.items() if any(one.kind in BY_WORK for one in own)}
    planned = planned_for(late) if late else {}
    found: dict[tuple[int, StandsAgainst], Risk] = {}
    for booking in booked:
        for risk in _against(booking, by_machine.get(booking.machine_id, []), planned, today):
            _keep_gravest(found, risk)
    return sorted(found.values(), key=lambda r: (r.booking.first_day, r.booking.pk, _rank(r)))


def _standing(today: date) -> QuerySet[Block]:
    """Return the blocks that put a booking at risk and last from today on."""
    lasting = Q(last_day=None) | Q(last_day__gte=today)
    return Block.objects.filter(lasting, kind__in=GRAVEST_FIRST)


def unsettled(risks: Iterable[Risk]) -> list[Risk]:
    """Leave out what is done before its booking goes out; the rest is what a desk is told."""
    return [risk for risk in risks if not risk.settled]


def _against(
    booking: Booking, blocks: Sequence[Block], planned: Planned, today: date
) -> Iterator[Risk]:
    """Yield each block that the rule finds against a booking, unless there is time enough."""
    if not blocks:
        return
    own = [block for block in blocks if block.booking_id in (None, booking.pk)]
    of_booking = {block.kind: block for block in own if block.booking_id == booking.pk}
    first = max(booking.first_day, today)
    ahead = (first - today).days < booking.machine.yard.shop.horizon_days
    told: dict[int, list[Objection]] = {}
    for one in _objections(booking, own, planned, today):
        kind = Block.Kind.FALLS_DUE if one.point else Block.Kind.RETIRED
        block = one.block or of_booking.get(kind)
        if block is not None and (ahead or not one.done_before):
            told.setdefault(block.pk, []).append(one)
    for block in own:
        if found := told.get(block.pk):
            open_ones = [one for one in found if not one.settled_before(first)]
            days = [one.until for one in found if one.until]
            lacking = frozenset(filter(None, (_service_of(one, block) for one in open_ones)))
            yield Risk(booking, block, not open_ones, max(days, default=None), lacking)


def _service_of(one: Objection, block: Block) -> int | None:
    """Return the number of the service that an objection of a block is about."""
    if isinstance(one.point, _Coming):
        return one.point.service_id
    return block.due_point.service_id if block.due_point else None


def _objections(
    booking: Booking, blocks: Sequence[Block], planned: Planned, today: date
) -> Sequence[Objection]:
    """Ask the rule of the counter, of what the blocks of a machine say."""
    points, days = _coming(blocks)
    for block in blocks:
        if block.due_point and (day := day_of_work(planned, block.due_point)):
            days[block.due_point.pk] = day
    shop = booking.machine.yard.shop
    known = CounterFacts(
        booking.machine,
        blocks=[block for block in blocks if block.kind != Block.Kind.FALLS_DUE],
        due_points=points,
        planned=days,
        frozen_days=shop.frozen_days,
        horizon_days=shop.horizon_days,
    )
    return objections(known, left_of(booking, today), today)


@dataclass(frozen=True)
class _Bars:
    """A service as far as the rule asks of it: it keeps a machine from going out."""

    blocks_rental: bool = True


@dataclass(frozen=True)
class _Coming:
    """A due point as far as the rule asks of one that its block keeps.

    To make a whole row of the table for each, without the table, would take most of the page.
    """

    pk: int
    p50: date
    service_id: int | None
    service: _Bars = _Bars()
    state: str = State.COMING_DUE
    hard: bool = False
    meter_kind: str = ""
    due_day: date | None = None
    rate_per_day: float | None = None


def _coming(blocks: Iterable[Block]) -> tuple[list[Any], dict[int, date]]:
    """Return what falls due on a booking, as its block keeps it, and the days it is planned for.

    The days were worked out with the use of this very booking, so nothing stretches them.
    """
    points: list[Any] = []
    days: dict[int, date] = {}
    for block in blocks:
        if block.kind != Block.Kind.FALLS_DUE:
            continue
        works: Sequence[Mapping[str, Any]] = block.works or [_first_work(block)]
        for number, work in enumerate(works):
            first = number == 0 and block.due_point_id is not None
            key = block.due_point_id if first and block.due_point_id else -len(points) - 1
            points.append(_Coming(key, date.fromisoformat(work["day"]), work["service"]))
            if work["planned"]:
                days[key] = date.fromisoformat(work["planned"])
    return points, days


def _first_work(block: Block) -> Mapping[str, Any]:
    """Return the work of a block that names its due point alone, due on its first day."""
    service = block.due_point.service_id if block.due_point else None
    return {"service": service, "day": block.first_day.isoformat(), "planned": None}


def _keep_gravest(found: dict[tuple[int, StandsAgainst], Risk], risk: Risk) -> None:
    place = (risk.booking.pk, risk.work)
    other = found.get(place)
    if other is not None:  # what lacks beside the shared service is lacking whichever is told
        lacking = risk.lacking | other.lacking
        risk = replace(min(other, risk, key=_rank), lacking=lacking)
    found[place] = risk


def _rank(risk: Risk) -> int:
    return GRAVEST_FIRST.index(Block.Kind(risk.block.kind))
