"""What the plan of a shop needs, and what of that the set-up lacks."""

import pytest

from fleet.models import LastDoneAnswer, Shop
from scheduling.due.refresh import refresh
from scheduling.queries.plan_needs import _metered, plan_needs
from tests import factories
from tests.complete_shop import complete
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    """A shop that lacks nothing: one machine, read, its service done a week ago."""
    shop = factories.Shop()
    complete(shop)
    refresh(None, NOON, shop=shop)
    return shop


def needs(shop):
    return plan_needs(shop, TODAY)


def test_a_shop_that_has_all_it_needs_lacks_nothing(shop):
    assert needs(shop).all == []


def test_an_empty_shop_lacks_people_and_machines():
    shop = Shop.objects.create(name="North")
    assert needs(shop).first == [
        "the shop has no opening hours", "no mechanic has working hours",
        "no machine works here yet",
    ]  # fmt: skip


def test_a_lent_hand_works_too(shop):
    shop.people.update(shop=factories.Shop())
    assert needs(shop).first == ["no mechanic has working hours"]
    factories.LentHand(shop=shop)
    assert needs(shop).first == []


def test_without_interval_entry_or_reading_there_is_no_plan(shop):
    machine = shop.yards.get().machines.get()
    machine.records.all().delete()
    machine.meters.get().readings.all().delete()
    assert needs(shop).first == [
        "nobody has said when any service was last done", "no meter has been read",
    ]  # fmt: skip
    machine.makeup.intervals.all().delete()
    assert needs(shop).first[0] == "no service recurs on any machine"


def test_an_answer_says_as_much_as_an_entry(shop):
    machine = shop.yards.get().machines.get()
    service = machine.records.get().service
    machine.records.all().delete()
    LastDoneAnswer.objects.create(
        machine=machine, service=service, answer=LastDoneAnswer.Answer.NEVER, said_at=NOON
    )
    assert needs(shop).first == []


def test_machines_that_are_planned_for_by_guess_are_named(shop):
    yard = shop.yards.get()
    bare = factories.Machine.create_batch(4, yard=yard)
    for number, machine in enumerate(bare):
        machine.tag = f"Z-{number}"
        machine.save()
    assert needs(shop).more == ["no service recurs on Z-0, Z-1, Z-2 and 1 more machine"]
    assert needs(shop).first == []


def test_a_service_that_counts_as_due_because_nobody_said_is_named(shop):
    makeup = shop.yards.get().machines.get().makeup
    old = factories.Machine(tag="MX-2", yard=shop.yards.get(), makeup=makeup)
    meter = factories.Meter(machine=old)
    factories.Reading(meter=meter, value=4000.0)
    refresh(None, NOON, shop=shop)
    said = "nobody has said when services that count as due were last done on MX-2"
    assert needs(shop).more == [said]
    service = makeup.intervals.get().service
    LastDoneAnswer.objects.create(machine=old, service=service, answer="unknown", said_at=NOON)
    assert needs(shop).more == []


def test_the_queries_do_not_grow(shop, django_assert_max_num_queries):
    factories.Machine.create_batch(10, yard=shop.yards.get())
    with django_assert_max_num_queries(14):
        needs(shop)


def test_a_meter_is_asked_for_once_however_often_it_was_read(shop):
    """Joined, each of its readings came for each interval: most of what the page took."""
    machine = shop.yards.get().machines.get()
    meter = machine.meters.get()
    for number in range(3):
        factories.Interval(makeup=machine.makeup, every=100 + number)
        factories.Reading(meter=meter, value=500 + number)
    assert list(_metered()) == [meter]
