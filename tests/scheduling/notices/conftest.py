"""A shop with one machine, booked from Thursday 5 to Sunday 8 March, and its three people."""

import pytest

from fleet.models import Role
from tests import factories


@pytest.fixture
def shop(db):
    return factories.Shop(name="Cold Fork")


@pytest.fixture
def machine(shop):
    return factories.Machine(tag="SL-04", yard__shop=shop, yard__name="North yard")


@pytest.fixture
def booking(machine):
    return factories.Booking(machine=machine)


@pytest.fixture
def manager(shop):
    return factories.Person(username="mara", shop=shop)


@pytest.fixture
def desk(shop):
    return factories.Person(username="dale", shop=shop, role=Role.DESK)


@pytest.fixture
def mechanic(shop):
    return factories.Mechanic(username="wren", shop=shop)
