"""Bookings at risk and what to do about each.  The booking runs 5 to 8 March; today is the 2nd."""

from datetime import timedelta

import pytest

from fleet.models import HandOver
from scheduling.models import Block, State
from scheduling.queries.bookings_at_risk import open_bookings, risks_of, unsettled
from scheduling.queries.risk_advice import at_risk
from tests import consequences, factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def booking():
    return factories.Booking()


def entries(booking):
    return at_risk(risks_of(open_bookings(booking.machine.yard.shop, TODAY), TODAY), TODAY)


def plan_for(block, day):
    job = consequences.PlannedJob(machine=block.machine, day=day)
    consequences.PlannedWork(job=job, due_point=block.due_point, service=block.due_point.service)


def test_several_causes_are_one_entry_gravest_first(booking):
    overdue = consequences.Block(machine=booking.machine)
    hold = factories.Hold(machine=booking.machine)
    held = consequences.Block(
        machine=booking.machine, kind=Block.Kind.HOLD, hold=hold, due_point=None
    )
    (entry,) = entries(booking)
    assert list(entry.blocks) == [held, overdue]
    assert entry.state == State.HELD
    assert entry.what_to_do.startswith("Fix and release it")


def test_work_planned_before_it_goes_out_saves_it(booking):
    block = consequences.Block(machine=booking.machine)
    plan_for(block, TODAY + 2 * DAY)
    (entry,) = entries(booking)
    assert entry.in_time
    assert entry.what_to_do == (
        "All of it is planned before it goes out, the last Wed 4 Mar, in 2 days."
    )
    assert unsettled(risks_of(open_bookings(booking.machine.yard.shop, TODAY), TODAY)) == []


def test_work_is_told_alone_that_is_not_planned_before(booking):
    planned, loose = (consequences.Block(machine=booking.machine) for _ in range(2))
    plan_for(planned, TODAY + 2 * DAY)
    found = risks_of(open_bookings(booking.machine.yard.shop, TODAY), TODAY)
    assert [risk.block for risk in unsettled(found)] == [loose]


@pytest.mark.parametrize("day", [TODAY + 3 * DAY, None])
def test_work_without_a_day_before_it_goes_out_wants_a_decision(booking, day):
    block = consequences.Block(machine=booking.machine)
    if day:
        plan_for(block, day)
    (entry,) = entries(booking)
    assert entry.what_to_do.startswith("No shop day before it goes out")


def test_a_machine_that_is_out_has_to_be_brought_in(booking):
    consequences.Block(machine=booking.machine)
    HandOver.objects.create(booking=booking, direction="out", at=NOON)
    (entry,) = entries(booking)
    assert entry.what_to_do == "It is out: have it brought in, or swap the machine."


def test_a_block_that_says_the_way_out_itself_needs_no_more_words(booking):
    point = consequences.DuePoint(machine=booking.machine, state=State.COMING_DUE)
    consequences.Block(
        machine=booking.machine, kind=Block.Kind.FALLS_DUE, booking=booking, due_point=point
    )
    (entry,) = entries(booking)
    assert (entry.what_to_do, entry.state) == ("", State.COMING_DUE)


@pytest.mark.parametrize("number", [2, 15])
def test_the_number_of_queries_does_not_grow(number, django_assert_num_queries):
    shop = factories.Shop()
    for _ in range(number):
        booking = factories.Booking(machine__yard__shop=shop)
        consequences.Block(machine=booking.machine)
    with django_assert_num_queries(3):
        assert len(at_risk(risks_of(open_bookings(shop, TODAY), TODAY), TODAY)) == number
