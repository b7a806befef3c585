"""Parts to order for twelve weeks.  Today is Monday 2 March 2026."""

from datetime import timedelta

import pytest

from fleet.models import Delivery, FittingPart, OrderLine, ServiceNeed, StockMovement
from scheduling.actions.order_ahead import order_ahead
from scheduling.queries.parts_to_order import parts_to_order
from tests import consequences, factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def shop():
    return factories.Shop()


def filter_of(shop, there=1.0, **facts):
    """A filter of which so many lie on the shelf."""
    part = factories.Part(**{"cost": 12, "lead_days": 4, **facts})
    StockMovement.objects.create(
        part=part, shop=shop, quantity=there, reason=StockMovement.Reason.COUNT, at=NOON
    )
    return part


def due(shop, part, day, *, every=None, machine=None):
    """A service that takes one of the part, due on a day."""
    machine = machine or factories.Machine(yard__shop=shop)
    service = factories.Service()
    ServiceNeed.objects.create(service=service, place=f"filter {service.pk}", share=1)
    FittingPart.objects.create(
        makeup=machine.makeup, part=part, place=f"filter {service.pk}", quantity=1
    )
    rule = factories.Interval(every=None, every_days=every) if every else None
    return consequences.DuePoint(
        machine=machine, service=service, p10=day, p50=day, p90=day, interval=rule
    )


def plan_on(shop, point, day):
    job = consequences.PlannedJob(plan__shop=shop, machine=point.machine, day=day)
    return consequences.PlannedWork(job=job, due_point=point, service=point.service)


def test_what_the_shelf_holds_is_not_ordered(shop):
    due(shop, filter_of(shop, there=1), TODAY + 20 * DAY)
    assert parts_to_order(shop, TODAY).rows == []


def test_every_repeat_counts_and_it_is_needed_by_the_day_on_which_it_lacks(shop):
    point = due(shop, filter_of(shop, there=2), TODAY + 5 * DAY, every=20)
    (row,) = parts_to_order(shop, TODAY).rows
    assert (row.takes, row.lacks) == (4, 2)  # on days 5, 25, 45 and 65 of 84
    assert row.need_by == TODAY + 45 * DAY
    assert row.order_by == row.need_by - 4 * DAY
    assert row.price == 24
    assert str(row.jobs[0]) == f"{point.machine.tag}: {point.service}, 2026-04-16"
    assert not row.jobs[0].planned  # the middle of a forecast is no shop day
    assert row.says_why == "12 weeks take 4; 2 on the shelf"


def test_a_shop_day_takes_its_parts_on_that_day_and_not_on_its_forecast_too(shop):
    point = due(shop, filter_of(shop, there=0), TODAY + 5 * DAY)
    plan_on(shop, point, TODAY + 3 * DAY)
    (row,) = parts_to_order(shop, TODAY).rows
    assert (row.lacks, row.need_by) == (1, TODAY + 3 * DAY)
    assert (row.jobs[0].planned, row.jobs[0].stands_on) == (True, TODAY + 3 * DAY)


def test_what_is_on_its_way_counts_from_the_day_on_which_it_is_sure(shop):
    part = filter_of(shop, there=0)
    due(shop, part, TODAY + 5 * DAY)
    due(shop, part, TODAY + 30 * DAY)
    order = Delivery.objects.create(
        part=part, shop=shop, quantity=2, expected_on=TODAY + 4 * DAY, latest_on=TODAY + 10 * DAY
    )
    (row,) = parts_to_order(shop, TODAY).rows
    assert (row.lacks, row.need_by, row.coming) == (1, TODAY + 5 * DAY, 2)
    Delivery.objects.filter(pk=order.pk).update(latest_on=None)
    assert parts_to_order(shop, TODAY).rows == []


def test_fluids_are_bought_by_the_container(shop):
    oil = filter_of(shop, there=0, kind="fluid", container_ml=20_000, cost=5)
    for _ in range(2):
        point = due(shop, oil, TODAY + DAY)
        FittingPart.objects.filter(makeup=point.machine.makeup).update(quantity=12_000)
    (row,) = parts_to_order(shop, TODAY).rows
    assert (row.lacks, row.price) == (40_000, 200)


def test_what_nobody_counted_is_named_and_not_ordered(shop):
    due(shop, factories.Part(name="belt"), TODAY + DAY)
    found = parts_to_order(shop, TODAY)
    assert (found.rows, found.uncounted) == ([], ["belt"])


def test_put_on_the_list_twice_it_stands_there_once_and_more_adds_to_it(shop):
    part, by = filter_of(shop, there=0), factories.Person(shop=shop)
    first = due(shop, part, TODAY + 5 * DAY)
    for _ in range(2):
        order_ahead(shop, part.pk, by=by, now=NOON)
    line = OrderLine.objects.get()
    assert (line.quantity, line.need_by) == (1, TODAY + 5 * DAY)
    assert parts_to_order(shop, TODAY).rows == []
    other = due(shop, part, TODAY + 9 * DAY)
    order_ahead(shop, by=by, now=NOON)
    line.refresh_from_db()
    assert (line.quantity, line.need_by) == (2, TODAY + 5 * DAY)
    assert [(job.machine, job.service, job.day) for job in line.jobs.all()] == [
        (one.machine, one.service, one.p50) for one in (first, other)
    ]


def test_another_shop_has_a_shelf_and_machines_of_its_own(shop):
    other = factories.Shop(name="elsewhere")
    part = filter_of(other, there=5)
    due(other, part, TODAY + DAY)
    due(shop, part, TODAY + DAY)
    StockMovement.objects.create(
        part=part, shop=shop, quantity=0, reason=StockMovement.Reason.COUNT, at=NOON
    )
    assert [row.lacks for row in parts_to_order(shop, TODAY).rows] == [1]
    assert parts_to_order(other, TODAY).rows == []


def substituted(shop, point, there=1.0):
    """Give the one part that a due point's work takes a substitute that lies on the shelf."""
    other = filter_of(shop, there=there)
    point.machine.makeup.fitting_parts.update(instead=other)
    return other


def test_what_a_substitute_covers_for_planned_work_is_not_ordered_and_is_named(shop):
    part = filter_of(shop, there=0)
    point = due(shop, part, TODAY + 5 * DAY)
    other = substituted(shop, point)
    plan_on(shop, point, TODAY + 3 * DAY)
    found = parts_to_order(shop, TODAY)
    assert found.rows == []
    (covered,) = found.covered
    assert (covered.named, covered.part, covered.quantity) == (part, other, 1)
    assert covered.jobs == ((point.machine.tag, TODAY + 3 * DAY),)


def test_a_repeat_to_come_is_ordered_as_named_and_says_what_is_covered(shop):
    part = filter_of(shop, there=0)
    point = due(shop, part, TODAY + 5 * DAY, every=60)
    other = substituted(shop, point, there=9)
    plan_on(shop, point, TODAY + 3 * DAY)
    (row,) = parts_to_order(shop, TODAY).rows
    assert (row.part, row.lacks, row.need_by) == (part, 1, TODAY + 63 * DAY)
    assert row.says_why == f"12 weeks take 1; 0 on the shelf; {other} covers 1 more"


def test_a_substitute_that_is_taken_lacks_for_work_that_names_it_later(shop):
    """One of it is there: the job of the plan takes it, and the later one is ordered for."""
    point = due(shop, filter_of(shop, there=0), TODAY + 5 * DAY)
    other = substituted(shop, point)
    plan_on(shop, point, TODAY + 3 * DAY)
    later = due(shop, other, TODAY + 40 * DAY)
    (row,) = parts_to_order(shop, TODAY).rows
    assert (row.part, row.lacks, row.need_by) == (other, 1, later.p50)


def test_what_is_done_with_its_substitute_is_not_taken_once_more(shop):
    point = due(shop, filter_of(shop, there=0), TODAY + 90 * DAY)
    substituted(shop, point)
    work = plan_on(shop, point, TODAY)
    type(point).objects.update(last_done_on=work.plan.first_day)
    found = parts_to_order(shop, TODAY)
    assert (found.rows, found.covered) == ([], [])


@pytest.mark.parametrize("number", [2, 20])
def test_the_number_of_queries_does_not_grow_with_what_is_covered(
    shop, number, django_assert_num_queries
):
    for _ in range(number):
        point = due(shop, filter_of(shop, there=0), TODAY + DAY)
        substituted(shop, point)
        plan = getattr(shop, "plan", None) or consequences.Plan(shop=shop)
        job = consequences.PlannedJob(plan=plan, machine=point.machine, day=TODAY)
        consequences.PlannedWork(job=job, due_point=point, service=point.service)
    with django_assert_num_queries(26):
        assert len(parts_to_order(shop, TODAY).covered) == number


@pytest.mark.parametrize("number", [2, 20])
def test_the_number_of_queries_does_not_grow(shop, number, django_assert_num_queries):
    for n in range(number):
        point = due(shop, filter_of(shop, there=0), TODAY + DAY, every=10)
        if n % 2:
            plan = getattr(shop, "plan", None) or consequences.Plan(shop=shop)
            job = consequences.PlannedJob(plan=plan, machine=point.machine, day=TODAY)
            consequences.PlannedWork(job=job, due_point=point, service=point.service)
    with django_assert_num_queries(24):
        assert len(parts_to_order(shop, TODAY).rows) == number
