"""What lies on the shop's shelf and what is on order; some of it is short on purpose."""

from datetime import timedelta

from fleet.demo.scenario import Scenario
from fleet.demo.write_machines import Shelf
from fleet.demo.write_places import Place
from fleet.models import Delivery, Part, StockMovement

COUNTED_DAYS = 5
"""Days since the shelf was last counted."""


def write_stock(
    scenario: Scenario, place: Place, parts: dict[str, Part], shelf: Shelf, times: int
) -> None:
    """Count the shelf a few days ago and order what the scenario orders, so many times over."""
    at = shelf.clock.at(shelf.today.toordinal() - COUNTED_DAYS, 16 * 60)
    StockMovement.objects.bulk_create(
        StockMovement(
            part=parts[p["number"]],
            shop=place.shop,
            quantity=p["on_shelf"] * times,
            reason=StockMovement.Reason.COUNT,
            at=at,
            by=place.mechanics[0],
        )
        for p in scenario["parts"]
    )
    Delivery.objects.bulk_create(
        Delivery(
            part=parts[p["number"]],
            shop=place.shop,
            quantity=p["delivery"][0] * times,
            ordered_on=shelf.today - timedelta(days=3),
            expected_on=shelf.today + timedelta(days=p["delivery"][1]),
        )
        for p in scenario["parts"]
        if "delivery" in p
    )
