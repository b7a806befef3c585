"""What hangs on something that is set up, so that it stays."""

import pytest

from fleet.queries.history_of import history_of
from tests import factories

pytestmark = pytest.mark.django_db


def test_a_machine_with_a_reading_stays():
    meter = factories.Meter(machine__tag="MX-02")
    factories.Reading.create_batch(2, meter=meter, read_at=factories.factory.Sequence(_at))
    assert history_of(meter.machine) == (
        "MX-02 has 2 readings and 1 meter, so it stays: what happened is never deleted."
    )


def _at(number):
    return factories.NOON.replace(minute=number % 60)


def test_a_machine_just_put_in_can_go():
    assert history_of(factories.Machine()) == ""


def test_a_shop_with_a_yard_stays_and_its_hours_do_not_hold_it():
    assert history_of(factories.Shop()) == ""
    assert "1 yard" in history_of(factories.Yard(name="South").shop)


def test_a_service_with_an_entry_stays_and_its_intervals_do_not_hold_it():
    service = factories.Interval().service
    assert history_of(service) == ""
    factories.ServiceRecord(service=service)
    assert "1 service record" in history_of(service)
