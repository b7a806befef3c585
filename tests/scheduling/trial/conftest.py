"""The small shop of the planning tests, planned, with a second mechanic and parts on the shelf."""

from datetime import timedelta

import pytest

from fleet.models import FittingPart, ServiceNeed, StockMovement
from scheduling.plan import plan_shop
from tests import factories as make
from tests.scheduling.cases import NOW, TODAY
from tests.scheduling.plan.conftest import (  # noqa: F401  fixtures
    due_in,
    mechanic,
    oil,
    refreshed,
    shop,
    yard,
)


@pytest.fixture
def bo(shop):  # noqa: F811
    return make.Mechanic(username="bo", first_name="Bo", shop=shop)


@pytest.fixture
def filter_part(shop, oil):  # noqa: F811
    """A filter that each oil change takes; one lies on the shelf and one is on its way."""
    part = make.Part(name="oil filter")
    ServiceNeed.objects.create(service=oil, place="oil filter")
    StockMovement.objects.create(
        part=part, shop=shop, quantity=1, reason=StockMovement.Reason.COUNT, at=NOW
    )
    return part


@pytest.fixture
def planned(shop, mechanic, bo, due_in, filter_part, refreshed):  # noqa: F811
    """Three machines, planned; two take a filter, of which one is there."""
    machines = [due_in(days) for days in (3, 4, 8)]
    for machine in machines[:2]:
        FittingPart.objects.create(
            makeup=machine.makeup, place="oil filter", quantity=1, part=filter_part
        )
    make.Delivery(part=filter_part, shop=shop, quantity=1, expected_on=TODAY + timedelta(days=3))
    refreshed()
    shop.refresh_from_db()  # numbers as the database gives them
    plan_shop(shop, NOW, seconds=2)
    return machines
