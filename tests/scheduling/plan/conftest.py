"""A small shop with one mechanic and a machine whose oil is due: what most plans are made of."""

import pytest

from scheduling.due.refresh import refresh
from tests import factories as make
from tests.scheduling.cases import NOW, serviced


@pytest.fixture
def shop():
    return make.Shop(horizon_days=14, frozen_days=1)


@pytest.fixture
def yard(shop):
    return make.Yard(shop=shop)


@pytest.fixture
def mechanic(shop):
    return make.Mechanic(username="ada", first_name="Ada", last_name="Brook", shop=shop)


@pytest.fixture
def oil():
    return make.Service(name="Oil change", code="oil", minutes=60)


@pytest.fixture
def due_in(yard, oil):
    """Make a machine whose oil change is due in so many days, by the calendar."""

    def build(days, service=oil, **interval):
        machine = make.Machine(yard=yard)
        fields = {"meter_kind": "", "every": None, "every_days": 40 + days}
        make.Interval(service=service, makeup=machine.makeup, **{**fields, **interval})
        serviced(machine, service, 40)
        return machine

    return build


@pytest.fixture
def refreshed(shop):
    """Bring the consequences up to date before planning."""

    def build():
        refresh(None, NOW, shop=shop)

    return build
