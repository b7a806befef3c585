"""Parts and fluids: what each piece of work takes, what is on hand, what will arrive when."""

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from django.db.models import Sum

from fleet.models import (
    Alteration,
    Delivery,
    FittingPart,
    Fluid,
    MakeUp,
    Part,
    ServiceNeed,
    ServiceStep,
    Shop,
    StockMovement,
)
from fleet.models.order_lines import USUAL_LEAD
from fleet.procedures import is_taken, traits_of
from scheduling.plan.horizon import Horizon
from scheduling.plan.work_to_plan import WorkToPlan

LATE_DAY = 1
"""Day on which a delivery that is past its date is hoped for: not today."""


@dataclass(frozen=True, order=True)
class Arrival:
    """Parts on their way; latest_day: if the day can slip, the plan counts on them from then."""

    day: int
    quantity: float
    latest_day: int | None = None

    @property
    def counts_from(self) -> int:
        """The day from which the plan counts on them."""
        return self.day if self.latest_day is None else max(self.day, self.latest_day)


def by_day(one: Arrival) -> tuple[int, int, float]:
    """Return what arrivals are sorted by, so that the same facts read the same."""
    return one.day, one.counts_from, one.quantity


@dataclass(frozen=True)
class Stock:
    """One part at a shop: pieces or mL on hand, and what is on its way; lead: days of an order."""

    pk: int
    name: str
    on_hand: float
    arrivals: tuple[Arrival, ...]
    lead: int = USUAL_LEAD

    def by(self, day: int) -> float:
        """Return what is sure to be there by the end of a day."""
        return self.on_hand + sum(one.quantity for one in self.arrivals if one.counts_from <= day)


@dataclass(frozen=True)
class PlaceNeed:
    """What one place takes: pieces or mL of a part; instead: what does where that is not there."""

    part: int
    quantity: float
    instead: int | None = None


@dataclass(frozen=True)
class WhatTakes:
    """Work that takes parts: keys of its service (0: a repair), its machine and its make-up."""

    service: int
    machine: int
    makeup: int


@dataclass(frozen=True)
class Shelf:
    """needs: key of the work -> what its places take; stock: parts that the shop keeps count of.

    uncounted: names of parts that may be needed and were never counted, by key; they do not bind
    the plan.
    """

    needs: dict[str, tuple[PlaceNeed, ...]]
    stock: dict[int, Stock]
    uncounted: dict[int, str]


def load_shelf(
    shop: Shop, horizon: Horizon, work: list[WorkToPlan], makeups: dict[int, int]
) -> Shelf:
    """Load what the work takes and what the shop has, with ten queries.

    makeups: machine -> make-up.
    """
    needs = place_needs(
        {w.key: WhatTakes(w.service or 0, w.machine, makeups[w.machine]) for w in work}
    )
    wanted = parts_of(needs)
    stock = load_stock(shop, horizon.number, wanted)
    names = Part.objects.filter(pk__in=wanted - set(stock)).order_by("pk")
    return Shelf(needs, stock, dict(names.values_list("pk", "name")))


def parts_of(needs: Mapping[str, Collection[PlaceNeed]]) -> set[int]:
    """Return all parts that needs name, what does in their place too."""
    named = {part for each in needs.values() for need in each for part in (need.part, need.instead)}
    return {part for part in named if part is not None}


def place_needs(work: Mapping[str, WhatTakes]) -> dict[str, tuple[PlaceNeed, ...]]:
    """Return what the places of each work take on its machine's build, by its key; six queries."""
    fits = _fits({one.makeup for one in work.values()})
    services = {one.service for one in work.values() if one.service}
    places, at_steps = _places(services), _at_steps(services)
    builds = _builds(work.values()) if at_steps else {}

    def taken(one: WhatTakes) -> Iterator[PlaceNeed]:
        for place, share in places.get(one.service, ()):
            if is_taken(place, at_steps.get(one.service, ()), builds.get(one.machine, {})):
                for need in fits.get((one.makeup, place), ()):
                    yield PlaceNeed(need.part, need.quantity * share, need.instead)

    return {key: tuple(taken(one)) for key, one in work.items()}


def _at_steps(services: Collection[int]) -> dict[int, list[tuple[str, str]]]:
    """Return service -> place and condition of its steps that name a place."""
    found: dict[int, list[tuple[str, str]]] = {}
    rows = ServiceStep.objects.filter(service__in=services).exclude(place="").order_by("pk")
    for service, place, only_on in rows.values_list("service_id", "place", "only_on"):
        found.setdefault(service, []).append((place, only_on))
    return found


def _builds(work: Collection[WhatTakes]) -> dict[int, dict[str, str]]:
    """Return machine -> its build, its alterations counted; two queries."""
    made = dict(
        MakeUp.objects.filter(pk__in={one.makeup for one in work}).values_list("pk", "traits")
    )
    machines = {one.machine: one.makeup for one in work}
    altered: dict[int, list[Alteration]] = {}
    for row in Alteration.objects.filter(machine__in=machines).exclude(build=""):
        altered.setdefault(row.machine_id, []).append(row)
    return {
        machine: traits_of(made.get(makeup, {}), altered.get(machine, ()))
        for machine, makeup in machines.items()
    }


def _places(services: Collection[int]) -> dict[int, list[tuple[str, float]]]:
    found: dict[int, list[tuple[str, float]]] = {}
    rows = ServiceNeed.objects.filter(service__in=services).order_by("pk")
    for service, place, share in rows.values_list("service_id", "place", "share"):
        found.setdefault(service, []).append((place.casefold(), share))
    return found


def _fits(makeups: Collection[int]) -> dict[tuple[int, str], list[PlaceNeed]]:
    """Return what each place of a make-up takes in full: parts, and fluids in mL."""
    found: dict[tuple[int, str], list[PlaceNeed]] = {}
    fluids = Fluid.objects.filter(makeup__in=makeups, part__isnull=False).order_by("pk")
    pieces = FittingPart.objects.filter(makeup__in=makeups).order_by("pk")
    for makeup, place, part, volume in fluids.values_list(
        "makeup_id", "place", "part_id", "capacity_ml"
    ):
        if part is not None:
            found.setdefault((makeup, place.casefold()), []).append(PlaceNeed(part, volume))
    for makeup, place, part, pieces_in_all, instead in pieces.values_list(
        "makeup_id", "place", "part_id", "quantity", "instead_id"
    ):
        need = PlaceNeed(part, float(pieces_in_all), instead)
        found.setdefault((makeup, place.casefold()), []).append(need)
    return found


def load_stock(
    shop: Shop, number: Callable[[date], int], wanted: Collection[int]
) -> dict[int, Stock]:
    """Return what a shop has of parts that it keeps count of; three queries.

    number: day -> its number, today 0.
    """
    moved = StockMovement.objects.filter(shop=shop, part__in=wanted).order_by()
    on_hand = dict(moved.values_list("part").annotate(total=Sum("quantity")))
    arrivals: dict[int, list[Arrival]] = {}
    rows = Delivery.objects.filter(shop=shop, part__in=wanted, received_at=None, called_off_at=None)
    for part, day, late, quantity in rows.values_list(
        "part_id", "expected_on", "latest_on", "quantity"
    ):
        arrives = max(number(day), LATE_DAY)
        latest = None if late is None else max(number(late), LATE_DAY)
        arrivals.setdefault(part, []).append(Arrival(arrives, quantity, latest))
    known = set(on_hand) | set(arrivals)
    parts = Part.objects.filter(pk__in=known).order_by("pk")
    return {
        part: Stock(
            part,
            name,
            round(max(on_hand.get(part) or 0.0, 0.0), 3),
            tuple(sorted(arrivals.get(part, ()), key=by_day)),
            USUAL_LEAD if lead is None else lead,
        )
        for part, name, lead in parts.values_list("pk", "name", "lead_days")
    }
