"""A machine's state is its worst; ties go to what comes first."""

from datetime import date

import pytest

from scheduling.due.refresh import refresh
from scheduling.models import MachineState
from tests import factories as make
from tests.scheduling.cases import NOW, serviced, steady

pytestmark = pytest.mark.django_db


@pytest.fixture
def machine():
    found = make.Machine()
    steady(found)
    return found


def due(machine, name, every, done=30):
    service = make.Service(name=name)
    make.Interval(service=service, makeup=machine.makeup, every=every)
    serviced(machine, service, done)
    return service


def test_worst_service_is_the_one_thing_to_know(machine):
    due(machine, "Grease", 150)
    worst = due(machine, "Oil change", 100)
    due(machine, "Big service", 400)
    refresh(None, NOW)
    state = MachineState.objects.get()
    assert (state.state, state.due_point.service) == ("overdue", worst)
    assert state.headline == "Oil change overdue by 20 h"
    assert state.computed_for == date(2026, 3, 2)


def test_of_services_alike_the_first_to_come_is_named(machine):
    due(machine, "Big service", 600)
    due(machine, "Small service", 300)
    refresh(None, NOW)
    state = MachineState.objects.get()
    assert state.due_point.service.name == "Small service"
    assert state.next_due == state.due_point.p50


def test_unknown_weighs_more_than_clear(machine):
    due(machine, "Oil change", 600)
    by_distance = make.Service(name="Wheel bearings")
    make.Interval(service=by_distance, makeup=machine.makeup, meter_kind="distance", every=1e6)
    refresh(None, NOW)
    state = MachineState.objects.get()
    assert state.state == "unknown"
    assert state.missing == "no odometer is on record; fit one on the machine's page"


def test_hold_is_worse_than_overdue_and_says_the_first_reason(machine):
    due(machine, "Oil change", 100)
    make.Hold(machine=machine, reason="brakes")
    make.Hold(machine=machine, reason="lights")
    refresh(None, NOW)
    assert MachineState.objects.get().headline == "held: brakes"


def test_reading_that_cannot_be_is_as_none():
    machine = make.Machine()
    meter = make.Meter(machine=machine, fitted_at=NOW)
    make.Reading(meter=meter, value=-3)
    make.Interval(makeup=machine.makeup, every=100)
    refresh(None, NOW)
    assert "no reading of its hour meter yet" in MachineState.objects.get().missing
