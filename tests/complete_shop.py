"""A shop that lacks nothing that its plan needs."""

from datetime import date, timedelta

from fleet.models import Machine
from tests import factories
from tests.factories import NOON


def complete(shop, tag="MX-1"):
    """Give a shop a mechanic and a machine that was read and served a week ago; return it."""
    factories.Mechanic(shop=shop)
    machine = factories.Machine(tag=tag, yard__shop=shop, started_on=date(2025, 1, 1))
    factories.Reading(meter=factories.Meter(machine=machine), value=50.0)
    interval = factories.Interval(makeup=machine.makeup, service__name="Oil change")
    done = NOON - timedelta(days=7)
    factories.ServiceRecord(machine=machine, service=interval.service, done_at=done)
    return machine


def nothing_missing(shop):
    """Give each machine of a shop an inspection by the calendar, done a week ago."""
    for machine in Machine.objects.filter(yard__shop=shop):
        interval = factories.Interval(
            makeup=machine.makeup, meter_kind="", every=None, every_months=12
        )
        done = NOON - timedelta(days=7)
        factories.ServiceRecord(machine=machine, service=interval.service, done_at=done)
