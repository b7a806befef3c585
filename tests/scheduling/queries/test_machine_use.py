"""One machine's use, loaded once.  Today is Monday 2 March 2026."""

import pytest

from scheduling.due.refresh import refresh
from scheduling.hindsight.level_adjusting import write_levels
from scheduling.queries.machine_use import machine_use
from tests import factories as make
from tests.scheduling.cases import NOW, TODAY, steady

pytestmark = pytest.mark.django_db


@pytest.fixture
def machine():
    machine = make.Machine()
    steady(machine)
    return machine


def test_every_meter_is_there(machine):
    steady(machine, kind="distance", start=0, rate=9000)
    known = machine_use(machine, NOW)
    assert sorted(known.uses) == ["distance", "hours"]
    assert (known.today, known.units) == (TODAY, "us")


def test_ranges_are_asked_for_as_adjusted(machine):
    write_levels(machine.yard.shop, "hours", TODAY, ((0.06, 0.95), 200))
    assert machine_use(machine, NOW).uses["hours"].levels == (0.06, 0.95)


def test_a_machine_without_meters_has_no_use():
    assert machine_use(make.Machine(), NOW).uses == {}


@pytest.mark.parametrize("others", [1, 12])
def test_the_number_of_queries_does_not_grow(machine, others, django_assert_max_num_queries):
    for _ in range(others):
        steady(make.Machine(yard=machine.yard))
    refresh(None, NOW)
    machine.refresh_from_db()
    with django_assert_max_num_queries(11):
        machine_use(machine, NOW)
