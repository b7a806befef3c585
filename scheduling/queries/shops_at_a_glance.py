"""How each of several shops stands today, in the words and by the counts of its own Yard page."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from fleet.models import Machine, Shop
from fleet.saying import counted
from scheduling.models import State
from scheduling.queries.fleet_state import working
from scheduling.queries.keeps_up import keeps_up, plan_of
from scheduling.queries.narrowed_yard import YardNarrowing
from scheduling.queries.risk_advice import AtRisk
from scheduling.queries.yard_overview import risks_in_groups


@dataclass(frozen=True)
class ShopGlance:
    """One shop: machines overdue and held, bookings without a way, whether it keeps up.

    today: its day; no_way: soonest first; leaving: how many of them go out today.
    """

    shop: Shop
    today: date
    overdue: int
    held: int
    no_way: Sequence[AtRisk]
    leaving: int
    keeps_up: str


@dataclass(frozen=True)
class ShopsPage:
    """All shops that a person may look at, those with most to decide first."""

    shops: Sequence[ShopGlance]

    @property
    def says(self) -> str:
        """Say in one sentence how they stand together."""
        overdue = sum(one.overdue for one in self.shops)
        held = sum(one.held for one in self.shops)
        no_way = sum(len(one.no_way) for one in self.shops)
        leaving = sum(one.leaving for one in self.shops)
        out = f", {leaving} of them going out today" if leaving else ""
        return (
            f"{counted(len(self.shops), 'shop')}: {counted(overdue, 'machine')} overdue, {held}"
            f" held, {counted(no_way, 'booking')} at risk with no way yet{out}."
        )


def shops_page(shops: Iterable[Shop], now: datetime) -> ShopsPage:
    """Return how shops stand; the queries grow with the shops, not with their machines."""
    found = [_glance(shop, now) for shop in shops]
    return ShopsPage(sorted(found, key=lambda one: (-one.leaving, -len(one.no_way), -one.overdue)))


def _glance(shop: Shop, now: datetime) -> ShopGlance:
    today = now.astimezone(shop.zone).date()
    groups = risks_in_groups(shop, today, YardNarrowing())
    machines = working(Machine.objects.filter(yard__shop=shop))
    held = machines.filter(now__state=State.HELD)
    overdue = machines.filter(due_points__state=State.OVERDUE).exclude(now__state=State.HELD)
    return ShopGlance(
        shop,
        today,
        overdue.order_by().values("pk").distinct().count(),
        held.count(),
        groups.no_way,
        len(groups.today),
        keeps_up(plan_of(shop), groups.given_up),
    )
