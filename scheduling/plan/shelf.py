"""Parts and fluids: what each piece of work takes, what is on hand, what will arrive when."""

from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import Sum

from fleet.models import Delivery, FittingPart, Fluid, Part, ServiceNeed, Shop, StockMovement
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
    """One part at a shop: pieces or mL on hand, and what is on its way."""

    pk: int
    name: str
    on_hand: float
    arrivals: tuple[Arrival, ...]

    def by(self, day: int) -> float:
        """Return what is sure to be there by the end of a day."""
        return self.on_hand + sum(one.quantity for one in self.arrivals if one.counts_from <= day)


@dataclass(frozen=True)
class Shelf:
    """needs: key of the work -> (part, quantity); stock: parts that the shop keeps count of.

    uncounted: names of parts that are needed and were never counted; they do not bind the plan.
    """

    needs: dict[str, tuple[tuple[int, float], ...]]
    stock: dict[int, Stock]
    uncounted: tuple[str, ...]


def load_shelf(
    shop: Shop, horizon: Horizon, work: list[WorkToPlan], makeups: dict[int, int]
) -> Shelf:
    """Load what the work takes and what the shop has, with six queries.

    makeups: machine -> make-up.
    """
    fits = _fits(set(makeups.values()))
    places = _places({w.service for w in work if w.service})
    needs = {w.key: _need(places.get(w.service or 0, []), fits, makeups[w.machine]) for w in work}
    wanted = {part for need in needs.values() for part, _ in need}
    stock = _stock(shop, horizon, wanted)
    names = dict(Part.objects.filter(pk__in=wanted - set(stock)).values_list("pk", "name"))
    counted = {
        key: tuple((part, quantity) for part, quantity in need if part in stock)
        for key, need in needs.items()
    }
    return Shelf(counted, stock, tuple(sorted(names.values())))


def _places(services: Collection[int]) -> dict[int, list[tuple[str, float]]]:
    found: dict[int, list[tuple[str, float]]] = {}
    rows = ServiceNeed.objects.filter(service__in=services).order_by("pk")
    for service, place, share in rows.values_list("service_id", "place", "share"):
        found.setdefault(service, []).append((place.casefold(), share))
    return found


def _fits(makeups: Collection[int]) -> dict[tuple[int, str], list[tuple[int, float]]]:
    """Return what each place of a make-up takes in full: parts, and fluids in mL."""
    found: dict[tuple[int, str], list[tuple[int, float]]] = {}
    fluids = Fluid.objects.filter(makeup__in=makeups, part__isnull=False).order_by("pk")
    pieces = FittingPart.objects.filter(makeup__in=makeups).order_by("pk")
    rows = list(fluids.values_list("makeup_id", "place", "part_id", "capacity_ml"))
    rows += pieces.values_list("makeup_id", "place", "part_id", "quantity")
    for makeup, place, part, quantity in rows:
        if part is not None:
            found.setdefault((makeup, place.casefold()), []).append((part, float(quantity)))
    return found


def _need(
    places: list[tuple[str, float]],
    fits: dict[tuple[int, str], list[tuple[int, float]]],
    makeup: int,
) -> tuple[tuple[int, float], ...]:
    total: dict[int, float] = {}
    for place, share in places:
        for part, quantity in fits.get((makeup, place), ()):
            total[part] = total.get(part, 0.0) + quantity * share
    return tuple(sorted(total.items()))


def _stock(shop: Shop, horizon: Horizon, wanted: Collection[int]) -> dict[int, Stock]:
    moved = StockMovement.objects.filter(shop=shop, part__in=wanted).order_by()
    on_hand = dict(moved.values_list("part").annotate(total=Sum("quantity")))
    arrivals: dict[int, list[Arrival]] = {}
    rows = Delivery.objects.filter(shop=shop, part__in=wanted, received_at=None, called_off_at=None)
    for part, day, late, quantity in rows.values_list(
        "part_id", "expected_on", "latest_on", "quantity"
    ):
        arrives = max(horizon.number(day), LATE_DAY)
        latest = None if late is None else max(horizon.number(late), LATE_DAY)
        arrivals.setdefault(part, []).append(Arrival(arrives, quantity, latest))
    known = set(on_hand) | set(arrivals)
    names = dict(Part.objects.filter(pk__in=known).values_list("pk", "name"))
    return {
        part: Stock(
            part,
            names[part],
            round(max(on_hand.get(part) or 0.0, 0.0), 3),
            tuple(sorted(arrivals.get(part, ()), key=by_day)),
        )
        for part in sorted(known)
    }
