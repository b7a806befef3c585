import numpy as np
import pytest

from fleet.models import RecordedMeter
from scheduling.facts.machine_arrays import load_machines
from scheduling.facts.meter_arrays import load_meters
from scheduling.facts.scope import Scope
from tests import factories as make
from tests.scheduling.cases import NOW, ago

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    return make.Shop()


@pytest.fixture
def machine(shop):
    return make.Machine(yard__shop=shop)


def load(shop):
    scope = Scope(shop.pk)
    return load_meters(load_machines(scope, NOW), scope, NOW)


def test_readings_are_counted_from_the_yards_today(shop, machine):
    meter = make.Meter(machine=machine)
    make.Reading(meter=meter, read_at=ago(2), value=7)
    found = load(shop)["hours"]
    assert found.readings.day.tolist() == [-1.5]  # noon, two days ago
    assert found.readings.value.tolist() == [7]
    assert found.unread.tolist() == [False]


def test_kinds_of_meter_stand_apart(shop, machine):
    make.Meter(machine=machine)
    make.Meter(machine=machine, kind="distance")
    make.Meter(machine=make.Machine(yard=machine.yard), kind="distance")
    found = load(shop)
    assert {kind: facts.machine.tolist() for kind, facts in found.items()} == {
        "hours": [0],
        "distance": [0, 1],
    }


def test_fitting_after_fitting_is_a_swap(shop, machine):
    make.Meter(machine=machine, fitted_at=ago(90), removed_at=ago(30), last_value=400)
    make.Meter(machine=machine, fitted_at=ago(30), first_value=2)
    swaps = load(shop)["hours"].swaps
    assert (swaps.day.tolist(), swaps.old_last.tolist()) == ([-29.5], [400])
    assert swaps.new_first.tolist() == [2]


def test_meter_that_was_never_read_showed_its_first_value_when_fitted(shop, machine):
    make.Meter(machine=machine, fitted_at=ago(10), first_value=55)
    found = load(shop)["hours"]
    assert found.unread.tolist() == [True]
    assert (found.readings.value.tolist(), found.readings.day.tolist()) == ([55], [-9.5])
    assert found.key.tolist() == [0]


def test_what_was_noted_at_a_service_is_a_reading_too(shop, machine):
    meter = make.Meter(machine=machine)
    reading = make.Reading(meter=meter, read_at=ago(2), value=7)
    record = make.ServiceRecord(machine=machine, done_at=ago(1))
    RecordedMeter.objects.create(record=record, meter=meter, value=9)
    undone = make.ServiceRecord(machine=machine, done_at=ago(1), void=True)
    RecordedMeter.objects.create(record=undone, meter=meter, value=11)
    found = load(shop)["hours"]
    assert sorted(found.readings.value.tolist()) == [7, 9]
    assert set(found.key.tolist()) == {0, reading.pk}
    assert set(found.record.tolist()) == {0, record.pk}


def test_impossible_value_is_kept_for_the_cleaning_to_name(shop, machine):
    meter = make.Meter(machine=machine, fitted_at=ago(10))
    make.Reading(meter=meter, read_at=ago(1), value=-4)
    found = load(shop)["hours"]
    assert found.unread.tolist() == [True]
    assert -4 in found.readings.value
    assert np.isfinite(found.life).all()


def test_no_meters(shop, machine):
    assert load(shop) == {}
