from datetime import timedelta

import pytest

from fleet.models import Delivery, FittingPart, Fluid, Part, ServiceNeed, StockMovement
from scheduling.plan.horizon import load_horizon
from scheduling.plan.shelf import Arrival, PlaceNeed, load_shelf
from scheduling.plan.work_to_plan import WorkToPlan
from tests import factories as make
from tests.scheduling.cases import NOW, TODAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def machine(yard, oil):
    found = make.Machine(yard=yard)
    engine_oil = make.Part(name="engine oil", kind="fluid")
    makeup = found.makeup
    Fluid.objects.create(makeup=makeup, place="engine oil", capacity_ml=4000, part=engine_oil)
    Fluid.objects.create(makeup=makeup, place="coolant", capacity_ml=9000, part=engine_oil)
    FittingPart.objects.create(
        makeup=makeup, place="oil filter", part=make.Part(name="filter"), quantity=2
    )
    for place, share in [("Engine oil", 0.9), ("oil filter", 1), ("air filter", 1)]:
        ServiceNeed.objects.create(service=oil, place=place, share=share)
    return found


def shelf(shop, machine, oil):
    work = WorkToPlan("m:1:1", "Oil", machine.pk, 60, "any", (0, 0, 0), 1.0, service=oil.pk)
    horizon = load_horizon(shop, NOW)
    return load_shelf(shop, horizon, [work], {machine.pk: machine.makeup_id})


def moved(shop, name, quantity):
    part = Part.objects.get(name=name)
    reason = {"reason": "count", "at": NOW}
    StockMovement.objects.create(part=part, shop=shop, quantity=quantity, **reason)
    return part


def test_needs_come_from_the_make_up_by_place(shop, machine, oil):
    """90 % of 4 L, two filters; nothing fits at the place of an air filter."""
    engine_oil, filters = moved(shop, "engine oil", 9000), moved(shop, "filter", 5)
    found = shelf(shop, machine, oil)
    assert found.needs["m:1:1"] == (PlaceNeed(engine_oil.pk, 3600), PlaceNeed(filters.pk, 2))
    assert found.uncounted == {}


def test_stock_is_the_sum_of_its_movements(shop, machine, oil):
    part = moved(shop, "filter", 5)
    moved(shop, "filter", -2)
    moved(make.Shop(), "filter", 100)  # on another shop's shelf
    assert shelf(shop, machine, oil).stock[part.pk].on_hand == 3


def test_shelf_below_zero_is_empty(shop, machine, oil):
    part = moved(shop, "filter", -4)
    assert shelf(shop, machine, oil).stock[part.pk].on_hand == 0


def test_deliveries_arrive_on_their_day_and_late_ones_not_today(shop, machine, oil):
    part = moved(shop, "filter", 1)
    for days, received in [(-3, None), (4, None), (2, NOW)]:
        expected = TODAY + timedelta(days=days)
        Delivery.objects.create(
            part=part, shop=shop, quantity=2, expected_on=expected, received_at=received
        )
    stock = shelf(shop, machine, oil).stock[part.pk]
    assert stock.arrivals == (Arrival(1, 2), Arrival(4, 2))
    assert [stock.by(day) for day in (0, 1, 5)] == [1, 3, 5]


def test_a_delivery_that_can_slip_is_counted_on_from_its_latest_day(shop, machine, oil):
    part = moved(shop, "filter", 1)
    make.Delivery(
        part=part, shop=shop, quantity=2,
        expected_on=TODAY + timedelta(days=2), latest_on=TODAY + timedelta(days=6),
    )  # fmt: skip
    stock = shelf(shop, machine, oil).stock[part.pk]
    assert stock.arrivals == (Arrival(2, 2, 6),)
    assert [stock.by(day) for day in (2, 5, 6)] == [1, 1, 3]


def test_part_that_was_never_counted_is_named_and_binds_nothing(shop, machine, oil):
    found = shelf(shop, machine, oil)
    assert sorted(found.uncounted.values()) == ["engine oil", "filter"]
    assert found.stock == {}


def test_what_does_in_place_of_a_part_is_loaded_with_what_there_is_of_it(shop, machine, oil):
    long = make.Part(name="long filter")
    moved(shop, "long filter", 4)
    machine.makeup.fitting_parts.update(instead=long)
    found = shelf(shop, machine, oil)
    filters = Part.objects.get(name="filter")
    assert found.needs["m:1:1"][1] == PlaceNeed(filters.pk, 2, long.pk)
    assert found.stock[long.pk].on_hand == 4
