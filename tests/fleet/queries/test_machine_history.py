"""All facts of one machine, newest first, with a constant number of queries."""

from datetime import date, timedelta

import pytest

from fleet.models import Measurement, RecordedMeter
from fleet.models.services import Limit
from fleet.queries.machine_history import SHOWN, history
from tests import factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def machine():
    return factories.Machine()


def records(machine, number):
    meter = factories.Meter(machine=machine)
    for back in range(number):
        record = factories.ServiceRecord(machine=machine, done_at=NOON - timedelta(days=back))
        RecordedMeter.objects.create(record=record, meter=meter, value=100 - back)
        limit = Limit.objects.create(service=record.service, name="belt", high=10)
        Measurement.objects.create(record=record, limit=limit, value=9)


def test_the_book_is_shortened_until_all_is_asked_for(machine):
    records(machine, SHOWN + 3)
    short, whole = history(machine, TODAY, False), history(machine, TODAY, True)
    assert (len(short.book), short.shortened, short.book_length) == (SHOWN, True, SHOWN + 3)
    assert (len(whole.book), whole.shortened) == (SHOWN + 3, False)
    assert short.book[0].done_at == NOON


def test_findings_are_parted_into_open_and_settled(machine):
    left = factories.Finding(machine=machine)
    done = factories.Finding(machine=machine, settled_at=NOON)
    found = history(machine, TODAY, False)
    assert (found.open_findings, found.settled_findings) == ([left], [done])


def test_bookings_to_come_stand_before_past_ones(machine):
    past = factories.Booking(machine=machine, first_day=date(2026, 2, 1), last_day=date(2026, 2, 9))
    coming = factories.Booking(machine=machine)
    assert history(machine, TODAY, False).bookings == [coming, past]


def test_a_meter_comes_with_its_last_reading_that_stands(machine):
    meter = factories.Meter(machine=machine)
    factories.Reading(meter=meter, value=90, read_at=NOON - timedelta(days=1))
    last = factories.Reading(meter=meter, value=95)
    (fitted,) = history(machine, TODAY, False).meters
    assert fitted.last == last


def count(machine, captured):
    found = history(machine, TODAY, True)
    for record in found.book:
        assert str(record.service)
        assert [shown.meter.kind for shown in record.meters.all()]
        assert [measured.limit.name for measured in record.measurements.all()]
    return len(captured)


@pytest.mark.parametrize("number", [2, 12])
def test_the_number_of_queries_does_not_grow(machine, number, django_assert_num_queries):
    records(machine, number)
    for n in range(number):
        day = TODAY + timedelta(days=n)
        factories.Finding(machine=machine, seen_by=factories.Person())
        factories.Hold(machine=machine)
        factories.Booking(machine=machine, first_day=day, last_day=day)
    with django_assert_num_queries(15) as captured:
        count(machine, captured)
