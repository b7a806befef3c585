"""A machine's first booking says little of its use: it must not seem due because it is let."""

from datetime import timedelta

import pytest

from scheduling.due.refresh import refresh
from scheduling.models import Block, DuePoint
from tests import factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db
LONG_HIRE = TODAY + timedelta(days=10)


@pytest.mark.parametrize("readings", [[(1, 100.0)], [(40, 0.0), (1, 100.0)]])
def test_a_machine_never_let_before_is_not_due_for_being_let(readings):
    """900 h to go take more than 37 days even round the clock."""
    meter = factories.Meter(fitted_at=NOON - timedelta(days=40))
    for days, value in readings:
        factories.Reading(meter=meter, value=value, read_at=NOON - timedelta(days=days))
    factories.Interval(makeup=meter.machine.makeup, every=1000)
    factories.Booking(machine=meter.machine, first_day=TODAY, last_day=LONG_HIRE)
    refresh(None, NOON)
    point = DuePoint.objects.get()
    assert point.p10 is None or point.p10 > TODAY + timedelta(days=37)
    assert not Block.objects.exists()
