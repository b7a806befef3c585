"""The order list of a shop, whole or narrowed down."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import (
    BooleanField,
    Exists,
    ExpressionWrapper,
    OuterRef,
    Prefetch,
    Q,
    QuerySet,
)

from fleet.models import (
    FittingPart,
    Fluid,
    MachineClass,
    MakeUp,
    OrderedFor,
    OrderLine,
    Part,
    Person,
    Service,
    ServiceNeed,
    Shop,
    Yard,
)
from fleet.queries.mine import shops_of

SHOWN = 200
"""Lines that the page shows; the oldest that are done fall away."""


ORDER_STATES = {
    "to order": Q(ordered_at=None, received_at=None, dropped_at=None),
    "ordered": Q(received_at=None, dropped_at=None, ordered_at__isnull=False),
    "received": Q(received_at__isnull=False, dropped_at=None),
    "dropped": Q(dropped_at__isnull=False),
}
"""State of a line -> which rows have it."""


@dataclass(frozen=True)
class NarrowedOrders:
    """What is wanted of the list; what is left out does not narrow.

    yard, machine_class, service: lines of which one job is on a machine that lives there, is of
    that class, is that service.  A line that names no job goes by what its part fits.
    """

    yard: Yard | None = None
    machine_class: MachineClass | None = None
    state: str = ""
    service: Service | None = None

    @property
    def by_part(self) -> bool:
        """Whether what a line is for leaves any out."""
        return bool(self.yard or self.machine_class or self.service)

    @property
    def narrows(self) -> bool:
        """Whether anything is left out."""
        return bool(self.by_part or self.state)

    def of(self, rows: QuerySet[OrderLine]) -> QuerySet[OrderLine]:
        """Return the lines that are wanted."""
        if self.state:
            rows = rows.filter(ORDER_STATES[self.state])
        if not self.by_part:
            return rows
        named = OrderedFor.objects.filter(line=OuterRef("pk"))
        return rows.filter(Exists(self._jobs(named)) | ~Exists(named) & self._fits())

    def _jobs(self, rows: QuerySet[OrderedFor]) -> QuerySet[OrderedFor]:
        if self.yard:
            rows = rows.filter(machine__yard=self.yard)
        if self.machine_class:
            rows = rows.filter(machine__makeup__machine_class=self.machine_class)
        return rows.filter(service=self.service) if self.service else rows

    def _fits(self) -> Q:
        """Parts that fit a machine of the yard, a make-up of the class, a place of the service."""
        makeups = MakeUp.objects.all()
        if self.machine_class:
            makeups = makeups.filter(machine_class=self.machine_class)
        if self.yard:
            makeups = makeups.filter(machines__yard=self.yard, machines__retired_on=None)
        fits = FittingPart.objects.filter(makeup__in=makeups.values("pk")).order_by()
        fluids = Fluid.objects.filter(makeup__in=makeups.values("pk")).order_by()
        if self.service:
            places = ServiceNeed.objects.filter(service=self.service).order_by().values("place")
            fits, fluids = fits.filter(place__in=places), fluids.filter(place__in=places)
        fluids = fluids.exclude(part=None)  # a fluid without a part is none of the list
        return (
            Q(part__in=fits.values("part"))
            | Q(part__in=fits.exclude(instead=None).values("instead"))
            | Q(part__in=fluids.values("part"))
        )


def order_lines(shop: Shop, wanted: NarrowedOrders | None = None) -> list[OrderLine]:
    """Return the lines of a shop, those still to order first, by the day they are wanted."""
    rows = (wanted or NarrowedOrders()).of(OrderLine.objects.filter(shop=shop))
    done = ORDER_STATES["received"] | ORDER_STATES["dropped"]
    newest = list(
        rows.annotate(done=ExpressionWrapper(done, output_field=BooleanField()))
        .select_related("part", "shop", "delivery", "asked_by")
        .prefetch_related(Prefetch("jobs", OrderedFor.objects.select_related("machine", "service")))
        .order_by("done", "-need_by")[:SHOWN]
    )
    return in_turn(newest)


def in_turn(lines: Iterable[OrderLine]) -> list[OrderLine]:
    """Return lines in the order in which they are seen to: what nobody waits for comes last."""
    places = tuple(ORDER_STATES)

    def turn(one: OrderLine) -> tuple[int, bool, date, int]:
        return places.index(one.state), one.nobody_waits, one.order_by, one.pk

    return sorted(lines, key=turn)


def lines_open_to(person: Person) -> QuerySet[OrderLine]:
    """Return the lines that a person may change."""
    return OrderLine.objects.filter(shop__in=shops_of(person)).select_related("part", "shop")


def parts_to_miss() -> QuerySet[Part]:
    """Return all parts, one of which is not on the shelf."""
    return Part.objects.all()
