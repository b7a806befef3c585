"""A hand-over as it is typed: each step is a fact of its own, and done once."""

from datetime import timedelta

import pytest

from fleet.actions.hand_over import WALK_ROUND, WalkRound
from fleet.actions.read_at_hand_over import TypedReading
from fleet.models import Finding, HandOver, Hold, MeterKind, Reading, Role
from fleet.queries.judge_readings import ReadingRefused
from fleet.refusal import Refusal
from scheduling.actions.book_and_check_out import Decision
from scheduling.actions.take_hand_over import (
    Handed,
    check_in_with_readings,
    check_out_with_readings,
)
from tests import factories
from tests.factories import NOON, TODAY
from tests.scheduling.let_before import let_before

pytestmark = pytest.mark.django_db
FINE = WalkRound(dict.fromkeys(WALK_ROUND, True))


@pytest.fixture
def decision():
    return Decision(factories.Person(role=Role.DESK), NOON)


@pytest.fixture
def booking():
    machine = let_before(100.0, read_ago=timedelta(days=3))
    return factories.Booking(machine=machine, first_day=TODAY)


def handed(value=110.0, **more):
    return Handed("key", [TypedReading("hours", value)], seen=FINE, **more)


def test_the_reading_is_taken_and_stands_with_the_hand_over(booking, decision):
    row = check_out_with_readings(booking, handed(), decision)
    assert [one.value for one in row.readings.all()] == [110.0]


def test_sent_twice_there_is_one_reading_and_one_hand_over(booking, decision):
    for _ in range(2):
        check_out_with_readings(booking, handed(), decision)
    assert Reading.objects.filter(value=110.0).count() == HandOver.objects.count() == 1


def test_an_odd_reading_is_refused_at_its_own_field(booking, decision):
    with pytest.raises(ReadingRefused) as no:
        check_out_with_readings(booking, handed(90.0), decision)
    assert no.value.field == "reading_hours"
    assert not HandOver.objects.exists()


def test_a_reading_that_shows_a_hard_limit_passed_stays_though_the_machine_does_not_go(
    booking, decision
):
    """Due at 105 h by law; the desk reads 110 h: it may not go, and everybody knows now."""
    factories.Interval(makeup=booking.machine.makeup, every=105.0, hard=True)
    with pytest.raises(Refusal, match="hard limit"):
        check_out_with_readings(booking, handed(), decision)
    assert Reading.objects.filter(value=110.0).exists()
    assert not HandOver.objects.exists()


def test_what_is_not_safe_is_held_and_does_not_go(booking, decision):
    assert check_out_with_readings(booking, handed(unsafe="brakes fail"), decision) is None
    assert Hold.objects.get().reason == "brakes fail"
    assert not HandOver.objects.exists()


def test_what_comes_back_not_safe_is_back_and_held_once(booking, decision):
    check_out_with_readings(booking, handed(), decision)
    for _ in range(2):
        check_in_with_readings(booking, Handed("key2", seen=FINE, unsafe="brakes fail"), decision)
    assert Hold.objects.count() == 1
    assert booking.hand_overs.count() == 2


def test_it_is_held_even_if_the_reading_is_odd(booking, decision):
    check_out_with_readings(booking, handed(), decision)
    odd = Handed("key2", [TypedReading("hours", 9.0)], seen=FINE, unsafe="brakes fail")
    with pytest.raises(ReadingRefused):
        check_in_with_readings(booking, odd, decision)
    assert Hold.objects.exists()


def test_a_meter_that_cannot_be_read_is_noted_once(booking, decision):
    for _ in range(2):
        check_out_with_readings(
            booking, Handed("key", unread=[MeterKind.HOURS], seen=FINE), decision
        )
    assert Finding.objects.get().text == "The hour meter cannot be read"
