from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Booking, Reading
from fleet.queries.standing_readings import standing
from scheduling.facts.prepared import rows_of
from scheduling.facts.scope import Scope
from tests import factories as make

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 9, 12, tzinfo=UTC)


def readings(scope, now):
    rows = standing().filter(scope.on("meter__machine"), read_at__lte=now).order_by("read_at")
    return rows.values_list("read_at", "value", "really_so")


def bookings(scope, since, customer):
    rows = Booking.objects.filter(scope.on("machine"), last_day__gte=since, customer=customer)
    return rows.values_list("pk", "first_day", "last_day")


def neighbours(scope):
    return Reading.objects.filter(meter__machine__yard__shop=scope.shop_id).values_list("value")


@pytest.fixture
def meter():
    meter = make.Meter()
    for hours in (1, 2, 3):
        make.Reading(meter=meter, read_at=NOW - timedelta(hours=hours), value=100 - hours)
    return meter


def one(machine):
    return Scope.of(machine.yard.shop_id, [machine.pk])


def test_compiled_query_finds_what_the_query_finds(meter):
    scope = one(meter.machine)
    for now in (NOW, NOW - timedelta(hours=2), NOW - timedelta(days=1)):
        found = list(rows_of(readings, scope, now=now))
        assert found == list(readings(scope, now))
    assert len(list(rows_of(readings, scope, now=NOW))) == 3


def test_each_machine_gets_its_own_rows(meter):
    other = make.Reading(read_at=NOW, value=7.0)
    assert [row[1] for row in rows_of(readings, one(other.meter.machine), now=NOW)] == [7.0]
    assert [row[1] for row in rows_of(readings, one(meter.machine), now=NOW)] == [97, 98, 99]
    assert list(rows_of(neighbours, one(other.meter.machine))) == [(7.0,)]


def test_dates_and_texts_are_filled_in():
    day = date(2026, 3, 9)
    kept = make.Booking(first_day=day, last_day=day, customer='O"Brien; %s')
    later = day + timedelta(days=1)
    make.Booking(machine=kept.machine, first_day=later, last_day=later, customer="another")
    scope = one(kept.machine)
    asked = {"since": day, "customer": kept.customer}
    assert list(rows_of(bookings, scope, **asked)) == [(kept.pk, day, day)]
    assert list(rows_of(bookings, scope, **asked | {"since": later})) == []


def test_many_machines_are_asked_for_as_ever(meter):
    other = make.Meter()
    both = Scope.of(meter.machine.yard.shop_id, [meter.machine_id, other.machine_id])
    whole = Scope.of(meter.machine.yard.shop_id)
    for scope in (both, whole):
        assert list(rows_of(readings, scope, now=NOW)) == list(readings(scope, NOW))


def test_second_asking_sends_the_same_sql(meter):
    scope = one(meter.machine)
    with CaptureQueriesContext(
        connection,
    ) as caught:
        for now in (NOW, NOW - timedelta(days=1)):
            rows_of(readings, scope, now=now)
    assert len(caught) == 2
    assert caught[0]["sql"] != caught[1]["sql"]


@pytest.mark.parametrize("value", [None, 1.5, [1]])
def test_value_of_another_kind_is_refused(meter, value):
    with pytest.raises(TypeError, match="now"):
        rows_of(readings, one(meter.machine), now=value)
