import pytest

from fleet.models import Limit, Measurement
from scheduling.facts.machine_arrays import load_machines
from scheduling.facts.scope import Scope
from scheduling.facts.service_records import load_book, load_measured
from tests import factories as make
from tests.scheduling.cases import NOW, ago

pytestmark = pytest.mark.django_db


def load(function, machine):
    scope = Scope(machine.yard.shop_id)
    return function(load_machines(scope, NOW), scope, NOW)


def test_standing_records_in_order_of_time():
    machine, service = make.Machine(), make.Service()
    done = {"machine": machine, "service": service}
    late = make.ServiceRecord(**done, done_at=ago(1))
    early = make.ServiceRecord(**done, done_at=ago(9))
    wrong = make.ServiceRecord(**done, done_at=ago(5))
    right = make.ServiceRecord(**done, done_at=ago(6), corrects=wrong)
    make.ServiceRecord(machine=machine, service=None, done_at=ago(2))  # a repair
    found = load(load_book, machine)
    assert found.key.tolist() == [early.pk, right.pk, late.pk]
    assert found.service.tolist() == [service.pk] * 3


def test_measurements_whose_limit_calls_for_a_service():
    machine, check = make.Machine(), make.Service()
    bounds = {"service": check, "unit": "mm", "low": 2}
    calling = Limit.objects.create(name="lining", then=make.Service(), **bounds)
    silent = Limit.objects.create(name="pad", **bounds)
    record = make.ServiceRecord(machine=machine, service=check, done_at=ago(3))
    for limit in (calling, silent):
        Measurement.objects.create(record=record, limit=limit, value=4.5)
    found = load(load_measured, machine)
    assert (found.value.tolist(), found.names, found.units) == ([4.5], ("lining",), ("mm",))
    assert found.then.tolist() == [calling.then_id]
    assert str(found.high.tolist()) == "[nan]"


def test_empty_book():
    machine = make.Machine()
    assert load(load_book, machine).key.size == 0
    assert load(load_measured, machine).value.size == 0
