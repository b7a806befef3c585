"""Ways out of a booking, priced.  Today is Monday 2 March; it goes out on Friday the 6th."""

import re
from datetime import timedelta

import pytest

from fleet.models import Booking
from scheduling.models import Block, PlannedWork
from scheduling.queries.bookings_at_risk import open_bookings
from scheduling.queries.ways_out import WayKind, say_price, ways_out
from tests import consequences, factories
from tests.factories import NOON, TODAY
from tests.scheduling.ways_case import ways_case

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def case():
    return ways_case()


def found(case, booking=None):
    pk = (booking or case.booking).pk
    row = open_bookings(case.free.yard.shop, TODAY).get(pk=pk)
    return ways_out(row, case.shop.manager, NOON)


def of_kind(case, kind, booking=None):
    return [way for way in found(case, booking).ways if way.kind == kind]


def test_a_sooner_shop_day_names_day_mechanic_and_price(case):
    (way,) = of_kind(case, WayKind.SOONER)
    assert way.label.endswith("with Jo")
    assert way.fields["mechanic"] == case.shop.mechanic.username
    assert way.fields["day"] < (TODAY + 4 * DAY).isoformat()
    assert way.keys == (case.shop.work.work_key,)
    assert way.price.startswith("saves $")  # the booking is not lost


def test_the_free_machine_of_the_class_may_go_instead_at_a_price_of_the_plan(case):
    (way,) = of_kind(case, WayKind.SWAP)
    assert (way.label, way.fields) == ("Give Q-2 instead", {"machine": "Q-2"})
    assert way.price.startswith("saves $")


def money_of(way):
    return float(re.search(r"\$([\d,.]+)", way.price)[1].replace(",", ""))


def test_work_of_the_other_machine_on_these_days_is_placed_anew_and_counted(case):
    (alone,) = of_kind(case, WayKind.SWAP)
    job = consequences.PlannedJob(
        plan=case.shop.job.plan, machine=case.free, day=TODAY + 5 * DAY, mechanic=case.shop.mechanic
    )
    work = consequences.PlannedWork(job=job, service=case.shop.service)
    point = consequences.DuePoint(
        machine=case.free, service=case.shop.service, p10=TODAY + 9 * DAY, p50=TODAY + 9 * DAY,
        p90=TODAY + 9 * DAY,
    )  # fmt: skip
    work.due_point = point
    work.save()
    (way,) = of_kind(case, WayKind.SWAP)
    assert way.price.startswith("saves $")
    assert money_of(way) <= money_of(alone)  # to do its work on another day is never cheaper


def test_the_way_from_a_remote_yard_is_counted(case):
    (here,) = of_kind(case, WayKind.SWAP)
    far = factories.Yard(shop=case.free.yard.shop, remote=True, travel_hours=1.5, trip_cost=80)
    case.free.yard = far
    case.free.save()
    (way,) = of_kind(case, WayKind.SWAP)
    assert "the way counted at $80" in way.note
    assert money_of(here) - money_of(way) == pytest.approx(80, abs=1)


def test_to_let_it_go_anyway_has_a_price_too(case):
    said = found(case)
    assert said.may_go_anyway
    assert said.anyway_price.startswith("saves $")
    assert float(said.anyway_price.split("$")[1].split(" ")[0].replace(",", "")) >= 900


def test_work_that_the_plan_does_not_know_yet_is_told_to_be_the_reason(case):
    PlannedWork.objects.all().delete()
    point = case.shop.work.due_point
    point.p10 = point.p50 = point.p90 = TODAY + 90 * DAY
    point.state, point.remaining = "coming", 300.0
    point.save()
    Booking.objects.filter(pk=case.booking.pk).update(last_day=TODAY + 95 * DAY)
    said = found(case)
    assert not [way for way in said.ways if way.kind == WayKind.SOONER]
    assert "lies beyond the days that the plan looks at" in said.not_sooner


def test_what_falls_due_while_out_can_be_back_before_it(case):
    Block.objects.all().delete()
    point = case.shop.work.due_point
    point.remaining, point.state = 30.0, "coming"
    point.p10 = point.p50 = point.p90 = TODAY + 6 * DAY
    point.save()
    consequences.Block(
        machine=case.shop.machine, kind=Block.Kind.FALLS_DUE, booking=case.booking,
        due_point=point, first_day=case.booking.first_day, last_day=case.booking.last_day,
    )  # fmt: skip
    ways = of_kind(case, WayKind.SHORTER)
    assert len(ways) == 1
    back = ways[0].fields["last_day"]
    assert case.booking.first_day.isoformat() <= back < case.booking.last_day.isoformat()
    assert re.fullmatch(r"\d+ days? shorter, \$[\d,.]+ less hire", ways[0].note)
    assert ways[0].price  # by the plan


def test_a_hold_leaves_other_machines_alone(case):
    hold = factories.Hold(machine=case.shop.machine)
    consequences.Block(
        machine=case.shop.machine, kind=Block.Kind.HOLD, hold=hold, due_point=None, hard=True
    )
    assert found(case).may_go_anyway is False
    assert of_kind(case, WayKind.SWAP)


def test_against_a_soft_block_it_may_go_with_a_reason(case):
    assert found(case).may_go_anyway


def test_where_no_sooner_day_is_left_the_reason_is_said(case):
    Booking.objects.create(
        machine=case.shop.machine, customer="Now", first_day=TODAY, last_day=TODAY + 3 * DAY,
        made_at=NOON, starts_at=NOON, ends_at=NOON + 3 * DAY,
    )  # fmt: skip
    said = found(case)
    assert not [way for way in said.ways if way.kind == WayKind.SOONER]
    assert said.not_sooner.startswith("No sooner shop day. Thu 5 Mar: the machine is booked out")


@pytest.mark.parametrize(
    ("money", "said"),
    [(80.4, "costs $80.40 more at most"), (-1460.0, "saves $1,460 at least"),
     (0.3, "costs nothing more")],
)  # fmt: skip
def test_a_price_says_that_the_search_may_better_it(money, said):
    assert say_price(money) == said


@pytest.mark.parametrize("more", [0, 8])
def test_the_number_of_queries_does_not_grow(case, more, django_assert_max_num_queries):
    for _ in range(more):
        machine = factories.Machine(yard=case.free.yard, makeup=case.free.makeup)
        consequences.MachineState(machine=machine)
        consequences.Block(machine=machine)
    row = open_bookings(case.free.yard.shop, TODAY).get(pk=case.booking.pk)
    with django_assert_max_num_queries(80):
        ways_out(row, case.shop.manager, NOON)
