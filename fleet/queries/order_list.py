"""The order list of a shop, and the same as a table for a file."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import BooleanField, ExpressionWrapper, Q, QuerySet

from fleet.models import (
    FittingPart,
    Fluid,
    MachineClass,
    MakeUp,
    OrderLine,
    Part,
    Person,
    Service,
    ServiceNeed,
    Shop,
    Yard,
)
from fleet.queries.mine import shops_of
from fleet.queries.stock_words import say_amount
from fleet.table_files import TableOfCells

HEADINGS = ("part number", "part", "quantity", "need by", "order by", "state", "expected", "for")
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

    yard, machine_class: parts that fit a machine living there, or a make-up of that class.
    service: parts of the places that it needs.
    """

    yard: Yard | None = None
    machine_class: MachineClass | None = None
    state: str = ""
    service: Service | None = None

    @property
    def by_part(self) -> bool:
        """Whether what a part is for leaves any out."""
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
        return rows.filter(
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
        .order_by("done", "-need_by")[:SHOWN]
    )
    places = tuple(ORDER_STATES)
    return sorted(newest, key=lambda one: (places.index(one.state), one.order_by, one.pk))


def yards_at(shop: Shop) -> QuerySet[Yard]:
    """Return the yards that a shop serves, by name."""
    return Yard.objects.filter(shop=shop).order_by("name")


def lines_open_to(person: Person) -> QuerySet[OrderLine]:
    """Return the lines that a person may change."""
    return OrderLine.objects.filter(shop__in=shops_of(person)).select_related("part", "shop")


def parts_to_miss() -> QuerySet[Part]:
    """Return all parts, one of which is not on the shelf."""
    return Part.objects.all()


def order_table(lines: Iterable[OrderLine]) -> TableOfCells:
    """Return lines as a table for a file, quantities in the shop's units."""
    rows = [
        [
            one.part.number, one.part.name, say_amount(one.part, one.quantity, one.shop),
            one.need_by, one.order_by, one.state,
            one.delivery.expected_on if one.delivery else None, one.for_work,
        ]
        for one in lines
    ]  # fmt: skip
    return TableOfCells("order list", HEADINGS, rows)
