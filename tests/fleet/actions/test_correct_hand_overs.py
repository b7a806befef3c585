"""Check-outs and returns put right or undone; the old ones stay on record."""

from datetime import date, timedelta

import pytest

from fleet.actions.correct_hand_overs import (
    HandOverCorrection,
    correct_hand_over,
    undo_hand_over,
)
from fleet.actions.hand_over import WALK_ROUND, WalkRound, check_in, check_out
from fleet.models import Booking, Finding, HandOver, LoggedChange
from fleet.queries.judge_readings import ReadingRefused
from fleet.queries.standing_readings import standing
from fleet.refusal import Refusal
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db

FINE = dict.fromkeys(WALK_ROUND, True)
BACK_AT = NOON + timedelta(days=2)
LATER = BACK_AT + timedelta(hours=1)


@pytest.fixture
def desk():
    return factories.Person(role="desk")


@pytest.fixture
def booking(desk):
    """Booked from Monday 2 to Sunday 8 March; read at 100 h the day before."""
    machine = factories.Machine(tag="Q-1", yard__shop=desk.shop)
    meter = factories.Meter(machine=machine)
    factories.Reading(meter=meter, value=100.0, read_at=NOON - timedelta(days=1))
    return factories.Booking(machine=machine, first_day=date(2026, 3, 2), last_day=date(2026, 3, 8))


def returned(booking, desk, **points):
    """Out on Monday, back on Wednesday at 110 h."""
    check_out(booking, WalkRound(FINE), by=desk, now=NOON)
    meter = booking.machine.meters.get()
    reading = factories.Reading(meter=meter, value=110.0, read_at=BACK_AT)
    seen = WalkRound({**FINE, **points}, "", [reading])
    return check_in(booking, seen, by=desk, now=BACK_AT)


def test_an_undone_return_leaves_the_booking_as_it_was(booking, desk):
    row = returned(booking, desk, **{WALK_ROUND[1]: False})
    assert Booking.objects.get().last_day == date(2026, 3, 4)
    undo_hand_over(row, why="another machine", by=desk, now=LATER)
    assert Booking.objects.get().last_day == date(2026, 3, 8)
    assert set(booking.hand_overs.values_list("direction", flat=True)) == {"out"}
    assert Finding.objects.get().struck
    assert standing().count() == 1


def test_it_stays_on_record_with_name_and_reason(booking, desk):
    row = returned(booking, desk)
    undo_hand_over(row, why="another machine", by=desk, now=LATER)
    kept = HandOver.every.get(pk=row.pk)
    assert (kept.struck_at, kept.struck_by, kept.struck_why) == (LATER, desk, "another machine")
    assert LoggedChange.objects.filter(kind="hand over", act="undone").count() == 1


def test_undone_twice_is_undone_once_and_it_can_be_taken_back_again(booking, desk):
    row = returned(booking, desk)
    for _ in range(2):
        undo_hand_over(row, why="too early", by=desk, now=LATER)
    check_in(booking, WalkRound(FINE), by=desk, now=LATER)
    assert HandOver.objects.filter(direction="back").count() == 1
    assert HandOver.every.filter(direction="back").count() == 2


def test_a_check_out_is_undone_after_its_return(booking, desk):
    row = returned(booking, desk)
    out = booking.hand_overs.get(direction="out")
    with pytest.raises(Refusal, match="undo the return first"):
        undo_hand_over(out, why="no", by=desk, now=LATER)
    undo_hand_over(row, why="no", by=desk, now=LATER)
    undo_hand_over(out, why="no", by=desk, now=LATER)
    assert not booking.hand_overs.exists()


def test_a_return_stands_once_the_machine_has_gone_out_again(booking, desk):
    row = returned(booking, desk)
    other = factories.Booking(machine=booking.machine, first_day=date(2026, 3, 4), made_at=BACK_AT)
    check_out(other, WalkRound(FINE), by=desk, now=LATER)
    with pytest.raises(Refusal, match="gone out since, with Alder Creek"):
        undo_hand_over(row, why="no", by=desk, now=LATER)


def test_a_return_stands_once_its_days_are_promised_to_others(booking, desk):
    row = returned(booking, desk)
    factories.Booking(
        machine=booking.machine, first_day=date(2026, 3, 6), last_day=date(2026, 3, 7)
    )
    with pytest.raises(Refusal, match="booked for Alder Creek fencing from Fri 6 Mar"):
        undo_hand_over(row, why="no", by=desk, now=LATER)


def test_a_corrected_return_takes_its_reading_and_its_last_day_along(booking, desk):
    row = returned(booking, desk)
    at = BACK_AT - timedelta(days=1)
    reading = row.readings.get()
    right = HandOverCorrection(at, FINE, "late", {reading.pk: 105.0})
    new = correct_hand_over(row, right, why="typed late", by=desk, now=LATER)
    assert Booking.objects.get().last_day == date(2026, 3, 3)
    last = standing().latest("read_at")
    assert (last.read_at, last.value) == (at, 105.0)
    assert list(new.readings.all()) == [last]
    undo_hand_over(new, why="no", by=desk, now=LATER)
    assert Booking.objects.get().last_day == date(2026, 3, 8)


def test_the_points_that_were_not_so_are_struck_and_those_that_were_are_noted(booking, desk):
    row = returned(booking, desk, **{WALK_ROUND[1]: False, WALK_ROUND[2]: False})
    points = {**FINE, WALK_ROUND[2]: False, WALK_ROUND[3]: False}
    new = correct_hand_over(row, HandOverCorrection(row.at, points), why="", by=desk, now=LATER)
    stand = Finding.objects.filter(struck=False)
    assert {finding.hand_over for finding in stand} == {new}
    assert Finding.objects.filter(struck=True).count() == 1
    assert stand.count() == 2


@pytest.mark.parametrize(
    ("at", "words"),
    [
        (NOON - timedelta(hours=1), "before the check-out"),
        (LATER + timedelta(hours=1), "in the future"),
    ],
)
def test_a_time_that_cannot_be_is_refused(booking, desk, at, words):
    row = returned(booking, desk)
    with pytest.raises(Refusal, match=words):
        correct_hand_over(row, HandOverCorrection(at, FINE), why="", by=desk, now=LATER)


def test_an_odd_value_is_asked_about(booking, desk):
    row = returned(booking, desk)
    right = HandOverCorrection(row.at, FINE, "", {row.readings.get().pk: 50.0})
    with pytest.raises(ReadingRefused):
        correct_hand_over(row, right, why="", by=desk, now=LATER)
    assert correct_hand_over(row, right, why="", by=desk, now=LATER, sure=True)


def test_a_reading_that_was_forgotten_comes_in_as_of_then(booking, desk):
    row = returned(booking, desk)
    factories.Meter(machine=booking.machine, kind="distance")
    right = HandOverCorrection(row.at, FINE, added={"distance": 321868.8})
    new = correct_hand_over(row, right, why="forgotten", by=desk, now=LATER)
    (added,) = standing().filter(meter__kind="distance")
    assert (added.value, added.read_at, added.entered_at) == (321868.8, BACK_AT, LATER)
    assert set(new.readings.values_list("value", flat=True)) == {110.0, 321868.8}
    logged = LoggedChange.objects.get(act="corrected")
    (said,) = logged.values
    assert (said["field"], said["old"], said["new"]) == ("odometer", "", "200 mi")
    undo_hand_over(new, why="no", by=desk, now=LATER)
    assert not standing().filter(meter__kind="distance").exists()


def test_a_forgotten_reading_that_cannot_be_is_asked_about(booking, desk):
    check_out(booking, WalkRound(FINE), by=desk, now=NOON)
    row = check_in(booking, WalkRound(FINE), by=desk, now=BACK_AT)
    right = HandOverCorrection(row.at, FINE, added={"hours": 50.0})
    with pytest.raises(ReadingRefused):
        correct_hand_over(row, right, why="", by=desk, now=LATER)
    assert HandOver.objects.filter(struck_at=None).count() == 2  # nothing is half put right
    assert correct_hand_over(row, right, why="", by=desk, now=LATER, sure=True)
