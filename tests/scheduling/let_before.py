"""A machine whose use is known: let before, read of late, its one service far off."""

from datetime import date, timedelta

from fleet.models import Machine
from tests import factories
from tests.factories import NOON, TODAY


def let_before(value: float, *, read_ago: timedelta) -> Machine:
    """Make it with one reading of its hour meter; a past hire tells what a hire brings."""
    machine = factories.Machine(started_on=date(2026, 1, 1))
    meter = factories.Meter(machine=machine, fitted_at=NOON - timedelta(days=60))
    factories.Reading(meter=meter, value=value, read_at=NOON - read_ago)
    factories.Interval(makeup=machine.makeup, every=1000.0)
    past = TODAY - timedelta(days=60)
    factories.Booking(machine=machine, first_day=past, last_day=TODAY - timedelta(days=10))
    return machine
