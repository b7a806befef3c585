"""A booking goes to another machine, and its log tells from which."""

import pytest

from fleet.actions.make_bookings import call_off
from fleet.actions.swap_bookings import swap_booking
from fleet.models import HandOver, LoggedChange
from fleet.refusal import Refusal
from tests import factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db


def swapped(booking, machine):
    return swap_booking(booking, machine, reason="held", by=factories.Person(), now=NOON)


def test_days_and_customer_stay_and_twice_is_once():
    booking, other = factories.Booking(), factories.Machine(tag="EX-7")
    old = booking.machine.tag
    swapped(swapped(booking, other), other)
    booking.refresh_from_db()
    assert (booking.machine, booking.customer) == (other, "Alder Creek fencing")
    logged = LoggedChange.objects.get()
    assert logged.values == [{"field": "machine", "old": old, "new": "EX-7"}]
    assert logged.reason == "held"


@pytest.mark.parametrize("case", ["out", "called off", "promised", "retired"])
def test_what_cannot_be_swapped_is_refused(case):
    booking, other = factories.Booking(), factories.Machine()
    if case == "out":
        HandOver.objects.create(booking=booking, direction="out", at=NOON)
    elif case == "called off":
        call_off(booking, by=None, now=NOON)
    elif case == "promised":
        factories.Booking(machine=other)
    else:
        other.retired_on = TODAY
        other.save()
    with pytest.raises(Refusal):
        swapped(booking, other)
