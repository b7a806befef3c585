"""Check-out and return: once each, with what was seen on the walk round."""

from datetime import date, timedelta

import pytest

from fleet.actions.hand_over import WALK_ROUND, WalkRound, check_in, check_out
from fleet.models import Finding, HandOver
from fleet.refusal import Refusal
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db
FINE = WalkRound(dict.fromkeys(WALK_ROUND, True))


@pytest.fixture
def booking():
    return factories.Booking(first_day=date(2026, 3, 2), last_day=date(2026, 3, 8))


def test_check_out_twice_is_once(booking):
    first = check_out(booking, FINE, by=None, now=NOON)
    again = check_out(booking, FINE, by=None, now=NOON + timedelta(minutes=1))
    assert first == again
    assert HandOver.objects.count() == 1


def test_a_point_not_in_order_becomes_a_finding_once(booking):
    check_out(booking, FINE, by=None, now=NOON)
    seen = WalkRound({WALK_ROUND[1]: False}, note="pulls left")
    check_in(booking, seen, by=None, now=NOON)
    check_in(booking, seen, by=None, now=NOON)
    assert "brakes and steering work (pulls left)" in Finding.objects.get().text


def test_a_return_without_check_out_is_refused(booking):
    with pytest.raises(Refusal, match="not gone out"):
        check_in(booking, FINE, by=None, now=NOON)


def test_a_booking_called_off_does_not_go_out():
    with pytest.raises(Refusal, match="called off"):
        check_out(factories.Booking(cancelled_at=NOON), FINE, by=None, now=NOON)


def test_a_machine_still_out_does_not_go_out_again(booking):
    check_out(booking, FINE, by=None, now=NOON)
    later = factories.Booking(
        machine=booking.machine, first_day=date(2026, 3, 9), last_day=date(2026, 3, 9)
    )
    with pytest.raises(Refusal, match="still out with Alder Creek"):
        check_out(later, FINE, by=None, now=NOON + timedelta(days=7))
    check_in(booking, FINE, by=None, now=NOON + timedelta(days=7))
    assert check_out(later, FINE, by=None, now=NOON + timedelta(days=7)).pk


@pytest.mark.parametrize(("days", "word"), [(2, "early"), (9, "late")])
def test_a_return_moves_the_last_day_to_the_day_of_return(booking, days, word):
    check_out(booking, FINE, by=None, now=NOON)
    check_in(booking, FINE, by=None, now=NOON + timedelta(days=days))
    booking.refresh_from_db()
    assert booking.last_day == date(2026, 3, 2) + timedelta(days=days)
    assert booking.changes.get().reason == f"came back {word}"


def test_the_day_of_return_is_a_day_of_the_yard(booking):
    """05:00 UTC on 9 March is still the evening of 8 March in Denver, so it is in time."""
    yard = booking.machine.yard
    yard.time_zone = "America/Denver"
    yard.save()
    check_out(booking, FINE, by=None, now=NOON)
    check_in(booking, FINE, by=None, now=NOON.replace(day=9, hour=5))
    assert not booking.changes.exists()
