"""A reading put right with the entries and hand-overs that showed it."""

from datetime import timedelta

import pytest

from fleet.actions.correct_readings import Correction
from fleet.actions.put_readings_right import put_reading_right, strike_reading_out
from fleet.actions.record_work import WorkDone, record_services
from fleet.models import HandOver
from fleet.queries.standing_records import standing_records
from fleet.refusal import Refusal
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db

LATER = NOON + timedelta(hours=1)


@pytest.fixture
def by():
    return factories.Mechanic()


@pytest.fixture
def read(by):
    """120 h, read at a visit of two services."""
    meter = factories.Meter(machine__yard__shop=by.shop)
    factories.Reading(meter=meter, value=100.0, read_at=NOON - timedelta(days=10))
    reading = factories.Reading(meter=meter, value=120.0)
    works = [
        WorkDone(meter.machine, factories.Service(), NOON, by, readings=[reading]) for _ in range(2)
    ]
    record_services(works, by=by, now=NOON)
    return reading


def test_every_entry_of_the_visit_says_the_new_value(read, by):
    put_reading_right(Correction(reading=read, value=112.0, by=by, note="misread"), LATER)
    assert list(standing_records().values_list("meters__value", flat=True)) == [112.0, 112.0]


def test_a_new_time_is_that_of_the_work_too(read, by):
    at = NOON - timedelta(hours=2)
    put_reading_right(Correction(reading=read, value=120.0, read_at=at, by=by), LATER)
    assert set(standing_records().values_list("done_at", flat=True)) == {at}


def test_a_struck_reading_leaves_no_value_in_the_book(read, by):
    strike_reading_out(read, why="another machine", by=by, now=LATER)
    assert list(standing_records().values_list("meters__value", flat=True)) == [None, None]


def test_the_time_of_a_return_is_put_right_at_the_return(by):
    reading = factories.Reading()
    booking = factories.Booking(machine=reading.meter.machine)
    row = HandOver.objects.create(booking=booking, direction="back", at=NOON)
    row.readings.add(reading)
    moved = Correction(reading=reading, value=100.0, read_at=NOON - timedelta(hours=1), by=by)
    with pytest.raises(Refusal, match="correct the time of the return instead"):
        put_reading_right(moved, LATER)
    new = put_reading_right(Correction(reading=reading, value=99.0, by=by), LATER)
    assert new in row.readings.all()
