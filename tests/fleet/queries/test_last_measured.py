"""What was measured before: by quantity and place, whatever service measured it."""

from datetime import timedelta

import pytest

from fleet.models import Limit, Measurement
from fleet.queries.last_measured import last_measured, measured_quantities
from tests import factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def machine():
    return factories.Machine()


def lining(name="rear brake lining", **more):
    values = {"unit": "mm", "places": "left, right", "low": 1.0, **more}
    return Limit.objects.create(service=factories.Service(), name=name, **values)


def measure(machine, limit, days_ago, value, place="left", **of_record):
    at = NOON - timedelta(days=days_ago)
    record = factories.ServiceRecord(
        machine=machine, service=limit.service, done_at=at, **of_record
    )
    Measurement.objects.create(record=record, limit=limit, value=value, place=place)
    return record


def said(machine, limit, place="left"):
    return last_measured([machine], [limit], TODAY).said(machine.pk, limit, place)


def test_what_another_service_measured_later_stands_first(machine):
    basic, yearly = lining(), lining()
    measure(machine, yearly, 200, 3.85)
    measure(machine, basic, 50, 3.79)
    assert said(machine, yearly).startswith("last 3.79 on ")
    assert "3.85 on" in said(machine, yearly)
    measure(machine, basic, 0, 2.2)
    assert said(machine, yearly) == said(machine, basic)
    assert said(machine, yearly).startswith("last 2.2 on ")


def test_each_place_and_each_machine_has_its_own(machine):
    limit = lining()
    measure(machine, limit, 5, 3.0, "right")
    measure(factories.Machine(), limit, 1, 1.2)
    assert said(machine, limit) == ""
    assert said(machine, limit, "right").startswith("last 3 on ")


def test_a_value_in_another_unit_is_turned_into_the_limits(machine):
    measure(machine, lining(unit="in"), 5, 0.125)
    assert said(machine, lining()).startswith("last 3.175 on ")
    measure(machine, lining(unit="psi"), 1, 30)
    assert said(machine, lining()).startswith("last 3.175 on ")


def test_a_struck_entry_says_nothing(machine):
    limit = lining()
    wrong = measure(machine, limit, 5, 9.0)
    measure(machine, limit, 5, 3.0, corrects=wrong)
    assert said(machine, limit).startswith("last 3 on ")
    assert "9" not in said(machine, limit).split(" on ")[0]


def test_the_machines_page_has_the_same_values_by_quantity_and_place(machine):
    basic, yearly = lining(), lining(name="Rear brake lining")
    measure(machine, yearly, 200, 3.85)
    measure(machine, basic, 50, 3.79)
    measure(machine, basic, 10, 4.0, "right")
    found = {one.place: [each.value for each in one.values] for one in measured_quantities(machine)}
    assert found == {"left": [3.79, 3.85], "right": [4.0]}


def test_one_query_however_many_machines(machine, django_assert_num_queries):
    limit = lining()
    others = [factories.Machine() for _ in range(4)]
    for one in others:
        measure(one, limit, 3, 2.0)
    with django_assert_num_queries(1):
        last_measured(others, [limit], TODAY)
