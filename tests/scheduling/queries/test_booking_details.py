"""Bookings that a person may look at, and what was handed over on one."""

import pytest

from fleet.actions.hand_over import WalkRound, check_out
from fleet.models import Role
from scheduling.queries.booking_details import bookings_of, hand_overs_of
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


def test_a_person_sees_the_bookings_of_their_own_shop():
    mine, other = factories.Booking(), factories.Booking()
    desk = factories.Person(role=Role.DESK, shop=mine.machine.yard.shop)
    assert list(bookings_of(desk)) == [mine]
    assert set(bookings_of(factories.Person(shop=None))) == {mine, other}


def test_hand_overs_are_found_by_direction():
    booking = factories.Booking()
    row = check_out(booking, WalkRound(), by=None, now=NOON)
    assert hand_overs_of(booking) == {"out": row}
