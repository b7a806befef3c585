from datetime import date

import pytest

from fleet.demo.roll import roll
from tests import factories

pytestmark = pytest.mark.django_db


def test_ones_own_fleet_is_never_lived_on():
    machine = factories.Machine()
    assert roll(date(2030, 1, 1)) == 0
    assert not machine.bookings.exists()
