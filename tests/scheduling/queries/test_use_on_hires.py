"""Use a day on past hires, of the machine drawn to that of its class."""

from datetime import timedelta

import pytest

from fleet.models import HandOver
from scheduling.availability.three_answers import Answer
from scheduling.models import State
from scheduling.queries.may_go_out import may_go_out
from scheduling.queries.use_on_hires import use_on_hires
from tests import consequences, factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def make():
    makeup, yard = factories.MakeUp(), factories.Yard()
    return lambda: factories.Machine(makeup=makeup, yard=yard)


def hire(machine, use, days=5, ago=20, back=True):
    """Let a machine out and take it back, read both times."""
    first = TODAY - timedelta(days=ago)
    booking = factories.Booking(
        machine=machine, first_day=first, last_day=first + timedelta(days=days - 1)
    )
    meter = factories.Meter(machine=machine, fitted_at=NOON - timedelta(days=90 + ago))
    went = NOON - timedelta(days=ago)
    ends = [(HandOver.Direction.OUT, went, 100.0)]
    if back:
        ends.append((HandOver.Direction.BACK, went + timedelta(days=days - 1), 100.0 + use))
    for direction, at, value in ends:
        row = HandOver.objects.create(booking=booking, direction=direction, at=at)
        row.readings.add(factories.Reading(meter=meter, value=value, read_at=at))


def used(machine):
    return use_on_hires([machine], TODAY)[machine.pk]


def test_the_class_tells_of_a_machine_that_was_never_let(make):
    let, new = make(), make()
    hire(let, use=30.0)
    assert used(new) == {"hours": pytest.approx(6.0)}
    assert used(let) == {"hours": pytest.approx(6.0)}


def test_its_own_hires_count_more_the_more_days_they_last(make):
    hard, easy = make(), make()
    hire(hard, use=200.0, days=20, ago=30)
    hire(easy, use=20.0, days=20, ago=30)
    # class: 220 h in 40 days are 5.5 h a day, mixed in for 10 days
    assert used(hard)["hours"] == pytest.approx((200 + 55) / 30)
    assert used(easy)["hours"] == pytest.approx((20 + 55) / 30)


def test_what_is_still_out_ran_backwards_or_is_long_ago_tells_nothing(make):
    machine = make()
    hire(machine, use=30.0, back=False)
    assert used(machine) == {}
    hire(make(), use=-30.0)
    hire(make(), use=30.0, ago=300)
    assert used(machine) == {}


def test_another_shop_and_class_do_not_count(make):
    hire(factories.Machine(), use=30.0)
    assert used(make()) == {}


def test_what_the_customer_says_moves_the_answer(make):
    machine = make()
    consequences.MachineState(machine=machine)
    consequences.DuePoint(
        machine=machine, p50=TODAY + timedelta(days=7), meter_kind="hours", rate_per_day=2.0,
        state=State.CLEAR,
    )  # fmt: skip
    days = (TODAY + timedelta(days=3), TODAY + timedelta(days=5), TODAY)
    assert may_go_out(machine, *days).kind == Answer.MAY
    worked = may_go_out(machine, *days, hours_a_day=8)
    assert worked.kind == Answer.MAY_NOT
    assert worked.chances[0].chance > 0.5
