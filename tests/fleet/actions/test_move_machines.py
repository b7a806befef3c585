"""A machine moves to another yard, with its pins lifted where the shop is another."""

import pytest

from fleet.actions.decide_work import PinPlace, pin
from fleet.actions.move_machines import move_machine
from fleet.models import LoggedChange, Pin
from tests import factories
from tests.factories import NOON, TODAY, key_of

pytestmark = pytest.mark.django_db


def moved(machine, yard):
    return move_machine(machine, yard, reason="needed there", by=factories.Person(), now=NOON)


@pytest.fixture
def pinned():
    machine, service = factories.Machine(), factories.Service(code="oil")
    key = key_of(machine, service.code)
    pin(machine, key, PinPlace(TODAY), by=factories.Person(), now=NOON)
    return machine


def test_it_lives_there_and_the_log_tells_from_where(pinned):
    yard, old = factories.Yard(shop=pinned.yard.shop), str(pinned.yard)
    moved(moved(pinned, yard), yard)
    logged = LoggedChange.objects.get()
    assert (pinned.yard, logged.act, logged.reason) == (yard, "moved", "needed there")
    assert logged.values == [{"field": "yard", "old": old, "new": str(yard)}]


def test_pins_stay_within_a_shop(pinned):
    moved(pinned, factories.Yard(shop=pinned.yard.shop))
    assert Pin.objects.filter(lifted_at=None).count() == 1


def test_pins_are_lifted_where_another_shop_serves_the_yard(pinned):
    moved(pinned, factories.Yard())
    assert not Pin.objects.filter(lifted_at=None).exists()
