import pytest

from scheduling.facts.interval_rows import load_rules
from scheduling.facts.machine_arrays import load_machines
from scheduling.facts.scope import Scope
from tests import factories as make
from tests.scheduling.cases import NOW

pytestmark = pytest.mark.django_db


def load(machine):
    scope = Scope(machine.yard.shop_id)
    return load_rules(load_machines(scope, NOW), scope)


def test_line_for_each_machine_and_service():
    makeup, yard = make.MakeUp(), make.Yard()
    machines = [make.Machine(makeup=makeup, yard=yard) for _ in range(2)]
    intervals = [make.Interval(makeup=makeup) for _ in range(2)]
    make.Interval()  # of another make-up
    found = load(machines[0])
    lines = list(zip(found.machine.tolist(), found.interval.tolist(), strict=True))
    keys = [interval.pk for interval in intervals]
    assert sorted(lines) == [(row, key) for row in (0, 1) for key in keys]


def test_own_interval_takes_the_place_of_the_make_ups_for_the_same_service():
    machine = make.Machine()
    general = make.Interval(makeup=machine.makeup)
    own = make.Interval(makeup=None, machine=machine, service=general.service)
    extra = make.Interval(makeup=None, machine=machine)
    assert sorted(load(machine).interval.tolist()) == [own.pk, extra.pk]


def test_meters_that_a_make_up_should_carry():
    machine = make.Machine()
    machine.makeup.meters.create(kind="hours")
    machine.makeup.meters.create(kind="distance")
    assert load(machine).expected == {machine.makeup_id: {"hours", "distance"}}


def test_nothing_set_up():
    found = load(make.Machine())
    assert found.machine.size == found.interval.size == 0
