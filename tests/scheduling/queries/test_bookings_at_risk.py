"""Which bookings are at risk, and by what.  The booking runs 5 to 8 March; today is the 2nd."""

from datetime import timedelta

import pytest

from fleet.models import HandOver
from scheduling.availability.counter_facts import left_of
from scheduling.availability.three_answers import Answer
from scheduling.models import Block
from scheduling.queries.bookings_at_risk import open_bookings, risks_of
from scheduling.queries.may_go_out import may_go_between
from tests import consequences, factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def booking():
    return factories.Booking()


def risks(booking):
    return risks_of(open_bookings(booking.machine.yard.shop, TODAY), TODAY)


@pytest.mark.parametrize(
    ("first", "last", "at_risk"),
    [
        (TODAY, None, True),  # until the cause is gone
        (TODAY, TODAY + 2 * DAY, False),  # over the day before it goes out
        (TODAY, TODAY + 3 * DAY, True),  # on its first day
        (TODAY + 6 * DAY, None, True),  # on its last day
        (TODAY + 7 * DAY, None, False),  # the day after
    ],
)
def test_a_block_counts_where_it_meets_the_days_of_the_booking(booking, first, last, at_risk):
    consequences.Block(machine=booking.machine, first_day=first, last_day=last)
    assert bool(risks(booking)) == at_risk


def test_a_block_of_one_booking_says_nothing_of_another(booking):
    later = factories.Booking(
        machine=booking.machine, first_day=TODAY + 10 * DAY, last_day=TODAY + 12 * DAY
    )
    consequences.Block(machine=booking.machine, booking=later, kind=Block.Kind.FALLS_DUE)
    assert [risk.booking for risk in risks(booking)] == [later]


def test_the_gravest_kind_stands_for_a_piece_of_work(booking):
    mild = consequences.Block(machine=booking.machine, kind=Block.Kind.FALLS_DUE)
    consequences.Block(
        machine=booking.machine, kind=Block.Kind.LIMIT, due_point=mild.due_point, hard=True
    )
    assert [risk.block.kind for risk in risks(booking)] == [Block.Kind.LIMIT]


def test_holds_come_first_and_a_day_in_the_shop_is_no_risk(booking):
    hold = factories.Hold(machine=booking.machine)
    consequences.Block(machine=booking.machine, kind=Block.Kind.OVERDUE)
    consequences.Block(machine=booking.machine, kind=Block.Kind.IN_SHOP)
    consequences.Block(machine=booking.machine, kind=Block.Kind.HOLD, hold=hold, due_point=None)
    found = risks(booking)
    assert [risk.block.kind for risk in found] == [Block.Kind.HOLD, Block.Kind.OVERDUE]
    assert found[0].work == (booking.machine.pk, None, hold.pk)


def test_bookings_that_stand_are_listed_and_know_whether_the_machine_is_out(booking):
    HandOver.objects.create(booking=booking, direction=HandOver.Direction.OUT, at=NOON)
    yard = booking.machine.yard
    back = factories.Booking(machine__yard=yard)
    HandOver.objects.create(booking=back, direction=HandOver.Direction.BACK, at=NOON)
    factories.Booking(machine__yard=yard, cancelled_at=NOON)
    retired = factories.Booking(machine__yard=yard, machine__retired_on=TODAY)
    factories.Booking()  # another shop's
    assert [(b.pk, b.is_out) for b in open_bookings(yard.shop, TODAY)] == [
        (booking.pk, True), (retired.pk, False),
    ]  # fmt: skip


def test_three_queries_however_many_bookings(booking, django_assert_num_queries):
    for _ in range(5):
        consequences.Block(machine=factories.Booking(machine__yard=booking.machine.yard).machine)
    with django_assert_num_queries(3):
        assert [(risk.work, risk.block.kind) for risk in risks_of(open_bookings(
            booking.machine.yard.shop, TODAY), TODAY)]  # fmt: skip


def test_it_is_at_risk_where_the_counter_says_no_or_no_day_is_found(booking):
    """The counter answers each booking; those of which the answer is no are those at risk."""
    machine = booking.machine
    yes = factories.Booking(
        machine__yard=machine.yard, machine__makeup=machine.makeup, first_day=TODAY + 40 * DAY,
        last_day=TODAY + 42 * DAY,
    )  # fmt: skip
    for one in (machine, yes.machine):
        consequences.MachineState(machine=one)
        consequences.Block(machine=one)
    answers = {
        one.pk: may_go_between(one.machine, left_of(one, TODAY), TODAY, but=one).kind
        for one in (booking, yes)
    }
    assert answers == {booking.pk: Answer.MAY_NOT, yes.pk: Answer.AFTER_WORK}
    assert [risk.booking for risk in risks(booking)] == [booking]
