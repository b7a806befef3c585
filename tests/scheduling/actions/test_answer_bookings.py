"""Each promise of a machine that goes is answered for: kept, called off, or given another one."""

import pytest

from fleet.actions.retire_machines import retire_machine
from fleet.models import LoggedChange
from fleet.refusal import Refusal
from scheduling.actions.answer_bookings import (
    BookingFate,
    Fate,
    LifeChange,
    answer_bookings,
    move_and_answer,
    retire_and_answer,
)
from scheduling.due.refresh import refresh
from scheduling.models import Block, DuePoint
from scheduling.queries.bookings_at_risk import open_bookings, risks_of
from scheduling.queries.risk_advice import at_risk
from scheduling.queries.swap_choices import asked_bookings
from tests import consequences, factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def quads():
    """Two machines of one class and yard that may go, the first of them booked."""
    yard, makeup = factories.Yard(), factories.MakeUp()
    first = factories.Machine(tag="Q-1", yard=yard, makeup=makeup)
    second = factories.Machine(tag="Q-2", yard=yard, makeup=makeup)
    for one in (first, second):
        consequences.MachineState(machine=one)
    return first, second


def told(*fates):
    return LifeChange(factories.Person(), NOON, "frame cracked", fates)


def test_the_machines_that_may_go_instead_are_offered_and_no_other(quads):
    first, _second = quads
    factories.Booking(machine=first)
    held = factories.Machine(tag="Q-3", yard=first.yard, makeup=first.makeup)
    consequences.MachineState(machine=held)
    consequences.Block(machine=held, kind=Block.Kind.HOLD, due_point=None, hard=True)
    manager = factories.Person(shop=first.yard.shop)
    (asked,) = asked_bookings(first, manager, TODAY)
    assert [machine.tag for machine in asked.instead] == ["Q-2"]


def test_a_promise_goes_to_the_other_with_the_retiring(quads):
    first, second = quads
    booking = factories.Booking(machine=first)
    retire_and_answer(first, TODAY, told(BookingFate(booking, Fate.SWAP, second)))
    booking.refresh_from_db()
    assert (booking.machine, first.retired_on) == (second, TODAY)


def test_one_that_may_not_go_undoes_all_of_it(quads):
    first, second = quads
    booking = factories.Booking(machine=first)
    consequences.Block(machine=second, kind=Block.Kind.HOLD, due_point=None, hard=True)
    with pytest.raises(Refusal, match="Q-2 cannot take the booking of Alder Creek"):
        retire_and_answer(first, TODAY, told(BookingFate(booking, Fate.SWAP, second)))
    first.refresh_from_db()
    assert first.retired_on is None


def test_a_promise_called_off_keeps_why_in_the_log(quads):
    booking = factories.Booking(machine=quads[0])
    answer_bookings(told(BookingFate(booking, Fate.OFF)))
    answer_bookings(told(BookingFate(booking, Fate.OFF)))
    booking.refresh_from_db()
    assert booking.cancelled_at == NOON
    assert LoggedChange.objects.get(kind="booking").reason == "frame cracked"


def risks(shop):
    return at_risk(risks_of(open_bookings(shop, TODAY), TODAY), TODAY)


def test_a_promise_left_open_on_a_retired_machine_stays_a_problem_until_answered(
    quads, django_capture_on_commit_callbacks
):
    first, _second = quads
    shop, booking = first.yard.shop, factories.Booking(machine=first)
    with django_capture_on_commit_callbacks(execute=True):
        retire_and_answer(first, TODAY, told(BookingFate(booking, Fate.KEEP)))
    refresh({first.pk}, NOON)
    (risk,) = risks(shop)
    assert risk.said == ["Retired since Mon 2 Mar: frame cracked."]
    assert "another machine, or call the booking off" in risk.what_to_do
    booking.refresh_from_db()
    answer_bookings(told(BookingFate(booking, Fate.OFF)))
    refresh({first.pk}, NOON)
    assert risks(shop) == []


def test_what_was_due_of_a_retired_machine_is_due_no_more(quads):
    first, _ = quads
    factories.Interval(makeup=first.makeup, meter_kind="", every=None, every_months=1)
    refresh({first.pk}, NOON)
    assert DuePoint.objects.filter(machine=first).exists()
    retire_machine(first, TODAY, reason="sold", by=factories.Person(), now=NOON)
    refresh({first.pk}, NOON)
    assert not DuePoint.objects.filter(machine=first).exists()


def test_a_machine_that_moves_takes_its_promise_along(quads):
    first, _ = quads
    booking, yard = factories.Booking(machine=first), factories.Yard()
    move_and_answer(first, yard, told(BookingFate(booking, Fate.KEEP)))
    assert list(open_bookings(yard.shop, TODAY)) == [booking]
