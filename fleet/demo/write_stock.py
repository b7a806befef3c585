"""What lies on the shop's shelf and what is on order; some of it is short on purpose."""

from datetime import date, timedelta
from typing import Any

from fleet.demo.scenario import Scenario
from fleet.demo.write_machines import DemoCatalogue
from fleet.demo.write_places import DemoShop
from fleet.models import Delivery, Part, StockMovement

COUNTED_DAYS = 5
"""Days since the shelf was last counted."""


def _latest(part: dict[str, Any], shelf: DemoCatalogue) -> date | None:
    """The late day of a delivery whose day can slip."""
    days = part.get("latest_in_days")
    return None if days is None else shelf.today + timedelta(days=days)


def write_stock(
    scenario: Scenario, place: DemoShop, parts: dict[str, Part], shelf: DemoCatalogue, times: int
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
            latest_on=_latest(p, shelf),
            said_by=p.get("said_by", ""),
        )
        for p in scenario["parts"]
        if "delivery" in p
    )
