"""Which part work is planned with: the named one or its substitute, and the plan that follows."""

from datetime import timedelta

import pytest

from fleet.models import Delivery, FittingPart, Pin, ServiceNeed, StockMovement
from scheduling.models import Plan, PlannedWork
from scheduling.plan import plan_shop
from scheduling.plan.broken_work import Breach, broken_work, load_placed
from scheduling.plan.parts_taken import PartTaken, parts_taken
from scheduling.plan.shelf import Arrival, PlaceNeed, Stock
from scheduling.plan.shop_problem import digest, instance, load_shop
from scheduling.queries.planned_parts import planned_parts
from tests import factories as make
from tests.factories import key_of
from tests.scheduling.cases import NOW, TODAY

pytestmark = pytest.mark.django_db
FILTER, LONG, OIL = 1, 2, 3


def stock(pk, there, *arrivals):
    return Stock(pk, f"part {pk}", there, tuple(Arrival(day, many) for day, many in arrivals))


def test_work_in_no_order_and_parts_without_a_substitute_stay_as_they_are_named():
    needs = {"a": (PlaceNeed(OIL, 9.0),), "b": (PlaceNeed(FILTER, 1.0, LONG),)}
    taken = parts_taken(needs, {LONG: stock(LONG, 1)}, [("a", 0)])
    assert taken == {"a": (PartTaken(OIL, OIL, 9.0),), "b": (PartTaken(FILTER, FILTER, 1.0),)}


def test_what_nobody_has_is_late_and_what_stands_in_is_not():
    needs = {key: (PlaceNeed(FILTER, 1.0, LONG),) for key in "ab"}
    shelf = {FILTER: stock(FILTER, 0, (9, 5)), LONG: stock(LONG, 1)}
    taken = parts_taken(needs, shelf, [("a", 2), ("b", 3)])
    assert taken["a"] == (PartTaken(FILTER, LONG, 1.0),)
    assert taken["b"] == (PartTaken(FILTER, FILTER, 1.0, late=True),)
    assert taken["a"][0].stands_in


@pytest.fixture
def filters(shop, oil):
    """An oil filter is out and comes on day 10; of the long one, that does for it, one is there."""
    named, other = make.Part(name="oil filter"), make.Part(name="long filter")
    ServiceNeed.objects.create(service=oil, place="oil filter")
    put(shop, named, 0)
    put(shop, other, 1)
    Delivery.objects.create(
        part=named, shop=shop, quantity=5, expected_on=TODAY + timedelta(days=10)
    )
    return named, other


def put(shop, part, quantity):
    StockMovement.objects.create(
        part=part, shop=shop, quantity=quantity, reason=StockMovement.Reason.COUNT, at=NOW
    )


@pytest.fixture
def fitted(due_in, filters):
    """Make a machine that takes the filter, or the long one in its place."""

    def build(days, *, substitute=True):
        machine, (named, other) = due_in(days), filters
        FittingPart.objects.create(
            makeup=machine.makeup, place="oil filter", part=named,
            instead=other if substitute else None,
        )  # fmt: skip
        return machine

    return build


def parts_of_tasks(facts):
    tasks = instance(facts)["tasks"]
    return {
        task["machine"]: [(p["part"].split(" #")[0], p["quantity"]) for p in task["parts"]]
        for task in tasks
    }


def day_of(machine):
    work = PlannedWork.objects.get(machine=machine)
    return (work.job.day - TODAY).days


def test_the_problem_takes_the_substitute_where_the_named_part_does_not_reach(
    shop, mechanic, fitted, refreshed
):
    first, second = fitted(2), fitted(3)
    refreshed()
    facts = load_shop(shop, NOW)
    assert parts_of_tasks(facts) == {
        first.tag: [("long filter", 1)],
        second.tag: [("oil filter", 1)],
    }


def test_the_job_does_not_wait_for_the_delivery_and_the_next_one_does(
    shop, mechanic, fitted, refreshed
):
    first, second = fitted(2), fitted(3)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    assert day_of(first) <= 3
    assert day_of(second) == 10


def test_the_pages_supply_the_planned_work_as_the_plan_did(
    shop, mechanic, fitted, refreshed, filters
):
    first, second = fitted(2), fitted(3)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    planned = planned_parts(shop, TODAY)
    (one,) = planned.all_stand_ins
    assert (one.tag, one.named, one.part) == (first.tag, *filters)
    for machine in (first, second):
        assert not planned.lacks(key_of(machine, "oil"), filters[0])


def test_a_plan_that_is_there_is_supplied_as_it_stands_and_stays_for_the_same_facts(
    shop, mechanic, fitted, refreshed
):
    """By its own day the second would be supplied first; that moves nothing."""
    fitted(2), fitted(3)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    facts, plan = load_shop(shop, NOW), Plan.objects.get()
    assert digest(instance(facts), facts) == plan.facts
    assert broken_work(facts, load_placed(plan, facts)) == []
    assert plan_shop(shop, NOW, seconds=2).kept


def test_work_that_stands_today_takes_the_substitute_though_it_is_due_after_the_delivery(
    shop, mechanic, fitted, refreshed
):
    machine = fitted(12)
    jobs = [{"work_key": key_of(machine, "oil"), "day": TODAY.isoformat(), "mechanic": "ada"}]
    shop.releases.create(at=NOW, jobs=jobs, first_day=TODAY, last_day=TODAY)
    refreshed()
    assert parts_of_tasks(load_shop(shop, NOW)) == {machine.tag: [("long filter", 1)]}


def test_work_that_waits_for_a_delivery_comes_forward_once_a_substitute_lies_there(
    shop, mechanic, fitted, refreshed, filters
):
    machine = fitted(2)
    put(shop, filters[1], -1)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    assert day_of(machine) == 10
    put(shop, filters[1], 1)
    plan_shop(shop, NOW, seconds=2)
    assert day_of(machine) <= 3


def test_pinned_work_is_supplied_by_the_day_of_its_pin(shop, mechanic, fitted, refreshed):
    machine = fitted(2)
    key, day = key_of(machine, "oil"), TODAY + timedelta(days=11)
    Pin.objects.create(machine=machine, work_key=key, day=day, by=mechanic, at=NOW)
    refreshed()
    assert parts_of_tasks(load_shop(shop, NOW)) == {machine.tag: [("oil filter", 1)]}


def test_a_substitute_that_is_gone_lets_planned_work_down_and_the_named_one_that_came_does_not(
    shop, mechanic, fitted, refreshed, filters
):
    machine = fitted(2)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    plan = Plan.objects.get()
    put(shop, filters[1], -1)
    facts = load_shop(shop, NOW)
    (broken,) = broken_work(facts, load_placed(plan, facts))
    assert (broken.placed.key, broken.breach, broken.about) == (
        key_of(machine, "oil"), Breach.PART, "oil filter",
    )  # fmt: skip
    put(shop, filters[0], 1)
    facts = load_shop(shop, NOW)
    assert broken_work(facts, load_placed(plan, facts)) == []


def test_a_named_part_that_was_never_counted_binds_nothing_unless_a_substitute_is_known(
    shop, mechanic, fitted, refreshed, filters
):
    StockMovement.objects.filter(part=filters[0]).delete()
    Delivery.objects.all().delete()
    first, second = fitted(2), fitted(3)
    refreshed()
    facts = load_shop(shop, NOW)
    assert parts_of_tasks(facts) == {first.tag: [("long filter", 1)], second.tag: []}
    assert facts.uncounted == ["oil filter"]


def test_work_that_has_none_in_its_place_gets_the_last_of_the_part_itself(
    shop, mechanic, fitted, refreshed, filters
):
    put(shop, filters[0], 1)
    first, second = fitted(2), fitted(3, substitute=False)
    refreshed()
    assert parts_of_tasks(load_shop(shop, NOW)) == {
        first.tag: [("long filter", 1)],
        second.tag: [("oil filter", 1)],
    }
